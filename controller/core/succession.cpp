// Judging a motor's heat from its times; see the header.
#include "controller/core/succession.hpp"

#include <limits>

namespace freshet::core {

namespace {

constexpr std::int64_t unlimited_ms = std::numeric_limits<std::int64_t>::max();

std::int64_t since(std::int64_t at_ms, std::int64_t now_ms) noexcept {
    return at_ms == never_ms ? unlimited_ms : now_ms - at_ms;
}

}  // namespace

Succession succession_with_start(const Settings& settings, const PumpRecord& record,
                                 std::int64_t now_ms) noexcept {
    const Settings::Succession& rule = settings.succession;
    const std::int64_t rest_ms = since(record.released_ms, now_ms);
    // The rest counts from the first time at which the motor was surely de-energised. The run counts until
    // the last time at which the motor was surely energised.
    const bool ran = record.started_ms != never_ms && record.fed_ms > record.started_ms;
    const std::int64_t ran_ms = ran ? record.fed_ms - record.started_ms : 0;
    if (rest_ms >= rule.cool_ms) return {1, false};
    if (ran_ms >= rule.even_run_ms || rest_ms >= rule.rest_ms) return {1, true};
    constexpr std::uint8_t most = std::numeric_limits<std::uint8_t>::max();
    const Succession& before = record.succession;
    return {before.starts < most ? static_cast<std::uint8_t>(before.starts + 1) : most, before.warm};
}

std::int64_t succession_wait_ms(const Settings& settings, const PumpRecord& record,
                                std::int64_t now_ms) noexcept {
    const Settings::Succession& rule = settings.succession;
    if (rule.cold_starts_max == 0) return 0;
    const Succession with = succession_with_start(settings, record, now_ms);
    if (with.starts <= (with.warm ? rule.warm_starts_max : rule.cold_starts_max)) return 0;
    return record.released_ms + rule.rest_ms - now_ms;
}

}  // namespace freshet::core
