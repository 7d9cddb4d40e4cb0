// Reads from a published image.
// One reason to change: see the header.
#include "hal/modbus/boards.hpp"

#include <algorithm>

namespace freshet::modbus {

void AdviceBoard::publish(const AdviceImage& image) {
    const std::lock_guard lock(mutex_);
    image_ = image;
    ++version_;
}

Exception AdviceBoard::read(const Request& request, std::span<std::uint16_t> out) const {
    if (request.kind != RequestKind::read_registers || !advice_serves(request.address, request.quantity)) {
        return Exception::illegal_address;
    }
    const std::lock_guard lock(mutex_);
    std::copy_n(image_.begin() + request.address, out.size(), out.begin());
    return Exception::none;
}

std::uint64_t AdviceBoard::version(const Request& request) const {
    constexpr const AdviceBlock& block = advice_block("advice");
    if (request.kind != RequestKind::read_registers || request.address != block.address) return 0;
    const std::lock_guard lock(mutex_);
    return version_;
}

FieldBoard::FieldBoard(const FieldPlan& plan)
    : blocks_(plan.blocks),
      bench_unit_(bench_unit(plan)),
      bench_registers_(bench_registers({})),
      image_(plan.image_words, 0) {
    for (const PlannedEntry& entry : plan.entries) {
        if (entry.field.signal == config::index_of(config::StationSignal::plant_time)) clock_ = entry;
    }
}

void FieldBoard::publish(std::span<const std::uint16_t> image, const BenchInstant& instant) {
    const std::lock_guard lock(mutex_);
    bench_registers_ = bench_registers(instant);
    std::copy(image.begin(), image.end(), image_.begin());
    ++version_;
}

Exception FieldBoard::read(const Request& request, std::span<std::uint16_t> out) const {
    const std::lock_guard lock(mutex_);
    if (bench_only(request)) {
        std::copy(bench_registers_.begin(), bench_registers_.end(), out.begin());
        return Exception::none;
    }
    bool unit_known = false;
    std::size_t done = 0;
    // One read may cover several of our blocks, because a device may have consecutive addresses that the poll
    // groups divide.
    while (done < out.size()) {
        const std::size_t address = request.address + done;
        const Block* found = nullptr;
        for (const Block& block : blocks_) {
            unit_known = unit_known || block.unit_id == request.unit_id;
            if (block.unit_id == request.unit_id && block.table == request.table &&
                address >= block.address && address < static_cast<std::size_t>(block.address) + block.count) {
                found = &block;
            }
        }
        if (found == nullptr) return unit_known ? Exception::illegal_address : Exception::no_answer_behind;
        const std::uint16_t* words = image_.data() + found->first_word;
        const std::size_t end =
            std::min<std::size_t>(request.address + out.size(), found->address + found->count);
        for (std::size_t at = address; at < end; ++at, ++done) {
            const std::size_t place = at - found->address;
            out[done] = request.kind == RequestKind::read_registers
                            ? words[place]
                            : static_cast<std::uint16_t>((words[place / 16] >> (place % 16)) & 1U);
        }
    }
    return Exception::none;
}

std::uint64_t FieldBoard::version(const Request& request) const {
    if (bench_only(request)) {
        const std::lock_guard lock(mutex_);
        return version_;
    }
    if (!clock_ || request.unit_id != clock_->field.unit_id || request.table != clock_->field.table) return 0;
    const std::size_t end = static_cast<std::size_t>(request.address) + request.quantity;
    if (clock_->field.address < request.address || clock_->field.address >= end) return 0;
    const std::lock_guard lock(mutex_);
    return version_;
}

}  // namespace freshet::modbus
