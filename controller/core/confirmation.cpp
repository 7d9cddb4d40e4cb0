// The conditions as a table; see the header.
#include "controller/core/confirmation.hpp"

#include <array>

namespace freshet::core {

namespace {

struct ConditionRow {
    Condition condition;
    bool (*is_met)(const Awaited&) noexcept;
    /// The readings prove the opposite of the condition. An unread signal proves nothing.
    bool (*is_denied)(const Picture& seen, std::size_t pump) noexcept;
};

/// A running drive whose speed is not read may have the right speed. So only a stopped drive or a known speed
/// denies the condition.
bool drive_is_read(const Picture& seen, std::size_t) noexcept {
    return seen.drive_stopped || (seen.drive_running && seen.drive_hz_known);
}

constexpr std::array<ConditionRow, condition_count> conditions{{
    {Condition::drive_side_closed,
     [](const Awaited& at) noexcept { return has(at.seen.drive_side_closed, at.pump); },
     [](const Picture& seen, std::size_t pump) noexcept { return has(seen.drive_side_open, pump); }},
    {Condition::drive_side_open,
     [](const Awaited& at) noexcept { return has(at.seen.drive_side_open, at.pump); },
     [](const Picture& seen, std::size_t pump) noexcept { return has(seen.drive_side_closed, pump); }},
    {Condition::line_side_closed,
     [](const Awaited& at) noexcept { return has(at.seen.line_side_closed, at.pump); },
     [](const Picture& seen, std::size_t pump) noexcept { return has(seen.line_side_open, pump); }},
    {Condition::line_side_open,
     [](const Awaited& at) noexcept { return has(at.seen.line_side_open, at.pump); },
     [](const Picture& seen, std::size_t pump) noexcept { return has(seen.line_side_closed, pump); }},
    {Condition::output_closed, [](const Awaited& at) noexcept { return at.seen.output_closed; },
     [](const Picture& seen, std::size_t) noexcept { return seen.output_open; }},
    {Condition::output_open, [](const Awaited& at) noexcept { return at.seen.output_open; },
     [](const Picture& seen, std::size_t) noexcept { return seen.output_closed; }},
    {Condition::sides_open,
     [](const Awaited& at) noexcept {
         return has(at.seen.drive_side_open, at.pump) && has(at.seen.line_side_open, at.pump);
     },
     [](const Picture& seen, std::size_t pump) noexcept {
         return has(static_cast<PumpMask>(seen.drive_side_closed | seen.line_side_closed), pump);
     }},
    {Condition::drive_side_and_output_open,
     [](const Awaited& at) noexcept { return has(at.seen.drive_side_open, at.pump) && at.seen.output_open; },
     [](const Picture& seen, std::size_t pump) noexcept {
         return seen.output_closed || has(seen.drive_side_closed, pump);
     }},
    {Condition::at_minimum_flow,
     [](const Awaited& at) noexcept {
         const double lowest_hz = at.inputs.minimum_flow_hz - at.settings.drive.tolerance_hz;
         return at.seen.drive_running && at.seen.drive_hz_known && at.seen.drive_hz >= lowest_hz;
     },
     &drive_is_read},
    {Condition::at_line_frequency,
     [](const Awaited& at) noexcept {
         const double tolerance_hz = at.settings.drive.tolerance_hz;
         return at.seen.drive_running && at.seen.drive_hz_known &&
                at.seen.drive_hz >= at.seen.line_hz - tolerance_hz &&
                at.seen.drive_hz <= at.seen.line_hz + tolerance_hz;
     },
     &drive_is_read},
    {Condition::in_sync,
     [](const Awaited& at) noexcept {
         return at.seen.drive_claims_sync && at.inputs.sync.within &&
                at.in_sync_ms >= at.settings.sync.hold_ms;
     },
     &drive_is_read},
    // The judgement treats a stopped drive as lost before it judges this condition.
    {Condition::slow,
     [](const Awaited& at) noexcept {
         constexpr double slow_ratio = 0.1;
         return at.seen.drive_hz_known &&
                at.seen.drive_hz <= slow_ratio * at.settings.drive.line_frequency_hz;
     },
     &drive_is_read},
    {Condition::drive_stopped, [](const Awaited& at) noexcept { return at.seen.drive_stopped; },
     [](const Picture& seen, std::size_t) noexcept { return seen.drive_running; }},
    {Condition::running_on_line,
     [](const Awaited& at) noexcept {
         return has(at.seen.line_side_closed, at.pump) && has(at.seen.current_seen, at.pump);
     },
     [](const Picture& seen, std::size_t pump) noexcept {
         return has(static_cast<PumpMask>(seen.line_side_open | seen.current_missing), pump);
     }},
}};
static_assert(audit::is_in_order(conditions, &ConditionRow::condition),
              "every condition needs its row, in the order of the codes");

}  // namespace

bool is_met(Condition condition, const Awaited& at) noexcept {
    return conditions[static_cast<std::size_t>(condition)].is_met(at);
}

bool is_denied(Condition condition, const Picture& seen, std::size_t pump) noexcept {
    return conditions[static_cast<std::size_t>(condition)].is_denied(seen, pump);
}

Picture read_within_step(const Picture& seen, const Inputs& readings, std::size_t pump,
                         std::int64_t entered_ms) noexcept {
    Picture fresh = seen;
    const PumpInputs& of_pump = readings.pumps[pump];
    const DriveInputs& drive = readings.drive;
    const std::int64_t entered_before_ms = readings.time_ms - entered_ms;
    const auto old = [entered_before_ms](const auto& signal) { return signal.age_ms >= entered_before_ms; };
    if (old(of_pump.drive_side_closed)) fresh.drive_side_closed = fresh.drive_side_open = 0;
    if (old(of_pump.line_side_closed)) fresh.line_side_closed = fresh.line_side_open = 0;
    if (old(of_pump.current_a)) fresh.current_seen = fresh.current_missing = 0;
    if (old(drive.output_closed)) fresh.output_closed = fresh.output_open = false;
    if (old(drive.running)) fresh.drive_running = fresh.drive_stopped = false;
    if (old(drive.frequency_hz)) fresh.drive_hz_known = false;
    return fresh;
}

}  // namespace freshet::core
