// Choosing the pump for the drive; see the header.
#include "controller/core/next_on_drive.hpp"

#include "controller/core/rotation.hpp"
#include "controller/core/transfer_impossible.hpp"

namespace freshet::core {

Choice next_on_drive(const Situation& at) noexcept {
    const PumpMask all = at.may_start(false);
    const Choice first = next_to_start(all, at.state, at.settings, at.picture.time_ms);
    const auto sound = static_cast<PumpMask>(all & ~cannot_be_handed_over(at.state));
    const bool exercise = exercise_due(all, at.state, at.settings, at.picture.time_ms) != 0;
    if (exercise || sound == 0 || has(sound, first.pump)) return first;
    Choice other = next_to_start(sound, at.state, at.settings, at.picture.time_ms);
    other.why = Reason::can_be_handed_over;
    other.values = {as_double(first.pump + 1), 0, 0, 0};
    return other;
}

Decision start_on_drive(const Situation& at, Reason why, const std::array<double, 4>& values) noexcept {
    if (!at.drive_free()) return {};
    const Choice next = next_on_drive(at);
    if (next.pump == no_pump) return at.refused(false);
    Decision start{Intention::start_on_drive, next.pump, why, values, true, 0};
    start.chosen = next;
    return start;
}

void want_start(StagingState& staging, const Decision& decision) noexcept {
    staging.start_wanted = true;
    staging.drive_free_since_ms = never_ms;
    staging.wanted_why = decision.why;
    staging.wanted_values = decision.values;
}

}  // namespace freshet::core
