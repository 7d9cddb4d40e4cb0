// Choosing the pump for the drive; see the header.
#include "controller/core/next_on_drive.hpp"

#include "controller/core/rotation.hpp"
#include "controller/core/transfer_impossible.hpp"

namespace freshet::core {

std::uint8_t next_on_drive(const Situation& at) noexcept {
    const PumpMask all = at.may_start(false);
    const PumpMask due = exercise_due(all, at.state, at.settings, at.picture.time_ms);
    const auto sound = static_cast<PumpMask>(all & ~cannot_be_handed_over(at.state));
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
