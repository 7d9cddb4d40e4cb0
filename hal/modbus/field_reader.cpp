// Batches of reads.
// One reason to change: see the header.
#include "hal/modbus/field_reader.hpp"

#include <algorithm>
#include <utility>

#include "hal/modbus/bench_registers.hpp"
#include "hal/modbus/word_codec.hpp"

namespace freshet::modbus {
namespace {

using Clock = std::chrono::steady_clock;

/// Why no answer came; none for an answer, an exception included.
core::Cause cause_of(ReadOutcome outcome) {
    if (outcome == ReadOutcome::garbled) return core::Cause::undecodable;
    return outcome == ReadOutcome::link_lost ? core::Cause::link_lost : core::Cause::none;
}

}  // namespace

void apply(const FieldSnapshot& snapshot, std::uint64_t since, std::int64_t offset_ms,
           FieldDecoder& decoder) {
    for (std::size_t i = 0; i < snapshot.blocks.size(); ++i) {
        const BlockState& state = snapshot.blocks[i];
        if (state.batch <= since) continue;
        if (state.cause == core::Cause::none) {
            decoder.take(i, snapshot.image.data() + decoder.block(i).first_word, state.read_ms + offset_ms);
        } else {
            decoder.fail(i, state.cause);
        }
    }
}

FieldLink::FieldLink(FieldPlan plan, const Endpoint& endpoint, const ClientOptions& options)
    : plan_(std::move(plan)), schedule_(plan_), client_(endpoint, options), bench_unit_(bench_unit(plan_)) {
    snapshot_.blocks.resize(plan_.blocks.size());
    snapshot_.image.resize(plan_.image_words, 0);
    for (const PlannedEntry& entry : plan_.entries) {
        if (entry.field.signal == config::index_of(config::StationSignal::plant_time)) clock_ = entry;
    }
}

bool FieldLink::connect() {
    if (client_.connected()) return true;
    if (!client_.try_connect()) {
        lose_link(core::Cause::link_lost);
        return false;
    }
    ++snapshot_.connection;
    return true;
}

bool FieldLink::poll(std::int64_t now_ms) {
    if (!client_.connected() && Clock::now() < client_.next_try()) return false;
    if (!connect()) return true;
    if (clock_) return poll_by_plant_clock();
    schedule_.advance(now_ms);
    ++snapshot_.batch;
    snapshot_.link_up = true;
    read_due(now_ms, false);
    return true;
}

bool FieldLink::poll_by_plant_clock() {
    const std::size_t index = *plan_.clock_block;
    const Block& block = plan_.blocks[index];
    // This reading is only for the clock. The block's other signals count when their poll group is due, as on
    // the bench in one process.
    std::vector<std::uint16_t>& image = snapshot_.image;
    ++snapshot_.batch;
    const ReadOutcome outcome = read_block(index, 0, false);
    if (outcome != ReadOutcome::good) {
        if (const core::Cause cause = cause_of(outcome); cause != core::Cause::none) lose_link(cause);
        return true;
    }
    const Number raw =
        number_of(get_words(image.data() + clock_->word, words_of(clock_->field.type), clock_->field.order),
                  clock_->field.type);
    snapshot_.link_up = true;
    snapshot_.clock_stopped = !raw.known;
    if (!raw.known) return true;
    const auto now_ms = static_cast<std::int64_t>(raw.value * clock_->field.scale + clock_->field.offset);
    if (snapshot_.plant_time_ms == now_ms && snapshot_.blocks[index].cause == core::Cause::none) {
        --snapshot_.batch;
        return false;
    }
    snapshot_.plant_time_ms = now_ms;
    schedule_.advance(now_ms);
    if (schedule_.due(block.group) || snapshot_.blocks[index].cause != core::Cause::none) {
        snapshot_.blocks[index] = {snapshot_.batch, core::Cause::none, now_ms};
    }
    if (!read_people(now_ms)) return true;
    read_due(now_ms, true);
    return true;
}

/// Reads what people have done on a bench that runs freely, once a second of its clock. A peer without such
/// registers is not asked again. False when the link is lost.
bool FieldLink::read_people(std::int64_t now_ms) {
    constexpr std::int64_t second_ms = 1000;
    const bool due = now_ms < people_read_ms_ || now_ms - people_read_ms_ >= second_ms;
    if (!due || refused_connection_ == snapshot_.connection) return true;
    BenchRegisters words{};
    const ReadOutcome outcome = client_.read_registers(bench_unit_, config::Table::input_registers, 0,
                                                       bench_registers_count, words.data());
    if (const core::Cause cause = cause_of(outcome); cause != core::Cause::none) {
        lose_link(cause);
        return false;
    }
    people_read_ms_ = now_ms;
    if (outcome == ReadOutcome::good)
        snapshot_.people = bench_instant(words).people;
    else
        refused_connection_ = snapshot_.connection;
    return true;
}

void FieldLink::read_due(std::int64_t now_ms, bool clock_is_read) {
    for (std::size_t i = 0; i < plan_.blocks.size(); ++i) {
        const bool already_read = clock_is_read && i == *plan_.clock_block;
        if (already_read || !schedule_.due(plan_.blocks[i].group)) continue;
        if (const core::Cause cause = cause_of(read_block(i, now_ms, true)); cause != core::Cause::none) {
            lose_link(cause);
            return;
        }
    }
}

bool FieldLink::poll_in_lockstep() {
    if (!client_.connected() && Clock::now() < client_.next_try()) return false;
    if (!connect()) return false;
    BenchRegisters words{};
    const ReadOutcome outcome = client_.read_registers(bench_unit_, config::Table::input_registers, 0,
                                                       bench_registers_count, words.data());
    if (outcome != ReadOutcome::good) {
        if (outcome == ReadOutcome::exception) snapshot_.trouble = "no simulated station answers there";
        if (const core::Cause cause = cause_of(outcome); cause != core::Cause::none) lose_link(cause);
        return false;
    }
    const BenchInstant instant = bench_instant(words);
    snapshot_.clock_stopped = !instant.now_ms;
    if (!instant.now_ms) return true;
    if (snapshot_.plant_time_ms == instant.now_ms) return false;
    snapshot_.plant_time_ms = instant.now_ms;
    snapshot_.people = instant.people;
    schedule_.advance(*instant.now_ms);
    ++snapshot_.batch;
    read_due(instant.shown_ms.value_or(*instant.now_ms), false);
    // The peer has just answered, so the scenario caused a failure of the site's registers, and no pause is
    // needed.
    if (!client_.connected()) client_.retry_at_once();
    return true;
}

ReadOutcome FieldLink::read_block(std::size_t index, std::int64_t now_ms, bool counts) {
    const Block& block = plan_.blocks[index];
    std::uint16_t* words = snapshot_.image.data() + block.first_word;
    const ReadOutcome outcome =
        is_bit_table(block.table)
            ? client_.read_bits(block.unit_id, block.table, block.address, block.count, words)
            : client_.read_registers(block.unit_id, block.table, block.address, block.count, words);
    BlockState& state = snapshot_.blocks[index];
    if (cause_of(outcome) == core::Cause::none) snapshot_.link_up = true;
    if (outcome == ReadOutcome::exception) {
        state.batch = snapshot_.batch;
        state.cause = core::Cause::device_exception;
        snapshot_.trouble = client_.last_error();
    } else if (outcome == ReadOutcome::good && counts) {
        state = {snapshot_.batch, core::Cause::none, now_ms};
    }
    return outcome;
}

void FieldLink::lose_link(core::Cause cause) {
    if (snapshot_.link_up || snapshot_.batch == 0) ++snapshot_.batch;
    snapshot_.link_up = false;
    snapshot_.trouble = client_.last_error();
    for (BlockState& state : snapshot_.blocks) {
        if (state.cause == cause) continue;
        state.batch = snapshot_.batch;
        state.cause = cause;
    }
}

FieldReader::FieldReader(FieldPlan plan, const Endpoint& endpoint, const ClientOptions& options,
                         std::function<std::int64_t()> station_now)
    : link_(std::move(plan), endpoint, options), station_now_(std::move(station_now)) {
    thread_ = std::thread([this] { run(); });
}

FieldReader::~FieldReader() {
    {
        const std::lock_guard lock(mutex_);
        stopping_ = true;
    }
    wake_.notify_all();
    link_.interrupt();
    thread_.join();
}

void FieldReader::run() {
    const bool by_plant_clock = link_.plan().clock_block.has_value();
    for (;;) {
        const bool fresh = link_.poll(by_plant_clock ? 0 : station_now_());
        {
            const std::lock_guard lock(mutex_);
            if (stopping_) return;
            if (fresh) shared_ = link_.snapshot();
        }
        if (fresh) news_.notify_all();
        if (!link_.snapshot().link_up) {
            pause_until(link_.next_try());
        } else if (!by_plant_clock) {
            pause_until(Clock::now() + std::chrono::milliseconds(
                                           std::max<std::int64_t>(0, link_.next_due_ms() - station_now_())));
        } else if (link_.snapshot().clock_stopped) {
            pause_until(Clock::now() + std::chrono::milliseconds(100));
        }
    }
}

void FieldReader::pause_until(Clock::time_point when) {
    std::unique_lock lock(mutex_);
    wake_.wait_until(lock, when, [this] { return stopping_; });
}

bool FieldReader::take_newer(FieldSnapshot& out, std::chrono::milliseconds limit) {
    std::unique_lock lock(mutex_);
    if (!news_.wait_for(lock, limit, [&] { return shared_.batch > out.batch; })) return false;
    out = shared_;
    return true;
}

}  // namespace freshet::modbus
