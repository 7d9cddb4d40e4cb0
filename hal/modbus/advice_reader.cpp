// Reads advice over Modbus.
// One reason to change: see the header.
#include "hal/modbus/advice_reader.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "hal/modbus/advice_map.hpp"

namespace freshet::modbus {
namespace {

using Clock = std::chrono::steady_clock;
constexpr std::uint8_t direct_unit = 0xFF;  ///< the unit id of a device that is reached without a gateway

}  // namespace

AdviceLink::AdviceLink(const Endpoint& endpoint, const ClientOptions& options) : client_(endpoint, options) {}

Clock::time_point AdviceLink::next_try() const {
    return std::max(client_.next_try(), map_retry_);
}

bool AdviceLink::prove_map() {
    constexpr const AdviceBlock& block = advice_block("identity");
    std::array<std::uint16_t, block.count> words{};
    const auto outcome = client_.read_registers(direct_unit, config::Table::input_registers, block.address,
                                                block.count, words.data());
    if (outcome == ReadOutcome::good) identity_ = decode_identity(words);
    proven_ = outcome == ReadOutcome::good && identity_.ours;
    if (proven_) return true;
    trouble_ = outcome == ReadOutcome::good
                   ? fmt::format("the server has another map (version {}.{}); expected version {}.x",
                                 identity_.version_major, identity_.version_minor, map_version_major)
                   : client_.last_error();
    map_retry_ = Clock::now() + std::chrono::seconds(1);
    return false;
}

std::optional<AdviceRead> AdviceLink::read() {
    constexpr const AdviceBlock& block = advice_block("advice");
    if (Clock::now() < next_try()) return std::nullopt;
    if (!client_.connected()) {
        proven_ = false;
        if (!client_.try_connect()) {
            trouble_ = client_.last_error();
            return std::nullopt;
        }
    }
    if (!proven_ && !prove_map()) return std::nullopt;
    std::array<std::uint16_t, block.count> words{};
    const auto outcome = client_.read_registers(direct_unit, config::Table::input_registers, block.address,
                                                block.count, words.data());
    if (outcome != ReadOutcome::good) {
        trouble_ = client_.last_error();
        return std::nullopt;
    }
    return decode_advice(words);
}

AdviceReader::AdviceReader(const Endpoint& endpoint, const ClientOptions& options)
    : link_(endpoint, options) {
    thread_ = std::thread([this] { run(); });
}

AdviceReader::~AdviceReader() {
    {
        const std::lock_guard lock(mutex_);
        stopping_ = true;
    }
    wake_.notify_all();
    link_.interrupt();
    thread_.join();
}

AdviceReader::Latest AdviceReader::latest() const {
    const std::lock_guard lock(mutex_);
    return latest_;
}

void AdviceReader::run() {
    for (;;) {
        const std::optional<AdviceRead> read = link_.read();
        std::unique_lock lock(mutex_);
        if (read) latest_.read = *read;
        latest_.link_up = read.has_value();
        latest_.trouble = link_.trouble();
        // This loop waits because the server holds its answer until there is a new scan. The pause spares a
        // server that answers at once.
        const auto pause = std::chrono::milliseconds(1);
        const auto until = read ? Clock::now() + pause : std::max(link_.next_try(), Clock::now() + pause);
        wake_.wait_until(lock, until, [this] { return stopping_; });
        if (stopping_) return;
    }
}

}  // namespace freshet::modbus
