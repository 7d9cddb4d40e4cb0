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

bool hand_over_is_impossible(const SequencerState& state, const Settings& settings) noexcept {
    if (state.drive_pump == no_pump) return false;
    return state.transfer_attempts >= settings.step.attempts_max ||
           has(cannot_be_handed_over(state), state.drive_pump);
}

}  // namespace freshet::core
