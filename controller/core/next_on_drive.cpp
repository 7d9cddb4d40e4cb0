// Choosing the pump for the drive; see the header.
#include "controller/core/next_on_drive.hpp"

#include "controller/core/alarms.hpp"
#include "controller/core/rotation.hpp"

namespace freshet::core {

PumpMask cannot_be_handed_over(const Situation& at) noexcept {
    constexpr unsigned grounds =
        alarm_bit(PumpAlarm::hand_over_failed) | alarm_bit(PumpAlarm::line_side_does_not_close);
    PumpMask pumps = 0;
    for (std::size_t pump = 0; pump < at.settings.pump_count; ++pump)
        if ((at.state.latched_pump[pump] & grounds) != 0) pumps = static_cast<PumpMask>(pumps | bit_of(pump));
    return pumps;
}

std::uint8_t next_on_drive(const Situation& at) noexcept {
    const PumpMask all = at.may_start(false);
    const PumpMask due = exercise_due(all, at.state, at.settings, at.picture.time_ms);
    const auto sound = static_cast<PumpMask>(all & ~cannot_be_handed_over(at));
    const PumpMask first = due != 0 ? due : sound != 0 ? sound : all;
    return next_to_start(first, at.state, at.settings, at.picture.time_ms);
}

Decision start_on_drive(const Situation& at, Reason why, const std::array<double, 4>& values) noexcept {
    if (!at.drive_free()) return {};
    const std::uint8_t pump = next_on_drive(at);
    if (pump == no_pump) return at.refused(false);
    return {Intention::start_on_drive, pump, why, values, true, 0};
}

}  // namespace freshet::core
