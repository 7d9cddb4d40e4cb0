// Judging failed transfers; see the header.
#include "controller/core/transfer_impossible.hpp"

#include "controller/core/alarms.hpp"

namespace freshet::core {

PumpMask cannot_be_handed_over(const SequencerState& state) noexcept {
    constexpr unsigned grounds =
        alarm_bit(PumpAlarm::hand_over_failed) | alarm_bit(PumpAlarm::line_side_does_not_close);
    PumpMask pumps = 0;
    for (std::size_t pump = 0; pump < pumps_max; ++pump)
        if ((state.latched_pump[pump] & grounds) != 0) pumps = static_cast<PumpMask>(pumps | bit_of(pump));
    return pumps;
}

bool transfers_are_impossible(const SequencerState& state, const Settings& settings,
                              std::int64_t now_ms) noexcept {
    return state.transfer_attempts >= settings.step.attempts_max && now_ms < state.transfer_retry_after_ms;
}

bool hand_over_is_impossible(const SequencerState& state, const Settings& settings,
                             std::int64_t now_ms) noexcept {
    const std::uint8_t pump = state.drive_pump;
    if (pump == no_pump) return false;
    const bool pump_fails =
        has(cannot_be_handed_over(state), pump) && now_ms < state.pumps[pump].hand_over_after_ms;
    return pump_fails || transfers_are_impossible(state, settings, now_ms);
}

bool hand_over_is_doubtful(const SequencerState& state) noexcept {
    return state.drive_pump != no_pump && state.transfer_attempts > 0;
}

void release_transfers(SequencerState& state) noexcept {
    state.transfer_attempts = 0;
    state.transfer_retry_after_ms = never_ms;
    for (PumpRecord& record : state.pumps) record.hand_over_after_ms = never_ms;
}

}  // namespace freshet::core
