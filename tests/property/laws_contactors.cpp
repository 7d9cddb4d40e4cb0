// Laws 1 to 4 and 8: contactors, transfers and the drive's bus.
// One reason to change: a law about contactors.
#include "tests/property/laws_case.hpp"

#include <cmath>

namespace freshet::laws {

using core::Event;
using core::EventKind;
using core::PumpState;

namespace {

/// Compares the drive with the line at the moment at which the contacts will meet, from the readings alone:
///   slip        = drive frequency - line frequency
///   volts ratio = (drive voltage - line voltage) / line voltage
///   angle       = measured angle + 360 degrees x slip x (age of the reading + closing time)
/// Source: the definition of slip and of the advance angle of a synchronism check (device 25), common
/// practice.
bool own_check_within(const Case& at, std::int32_t closing_ms, double& slip_hz, double& volts_ratio,
                      double& angle_deg) {
    const core::DriveInputs& drive = at.in.drive;
    const core::LineInputs& line = at.in.line;
    const Settings::SyncCheck& limits = at.settings.sync;
    for (const Analog* reading :
         {&drive.frequency_hz, &drive.voltage_v, &drive.angle_deg, &line.frequency_hz, &line.voltage_v})
        if (reading->quality != Quality::good || reading->age_ms > limits.age_max_ms) return false;
    slip_hz = drive.frequency_hz.value - line.frequency_hz.value;
    volts_ratio = (drive.voltage_v.value - line.voltage_v.value) / line.voltage_v.value;
    const double ahead_s = 1e-3 * static_cast<double>(drive.angle_deg.age_ms + closing_ms);
    angle_deg = std::remainder(drive.angle_deg.value + 360 * slip_hz * ahead_s, 360.0);
    constexpr double rounding = 1e-9;
    return std::abs(slip_hz) <= limits.slip_max_hz + rounding &&
           std::abs(volts_ratio) <= limits.voltage_max_ratio + rounding &&
           std::abs(angle_deg) <= limits.angle_max_deg + rounding;
}

/// The overlap counts from the command that closes the second contactor. In a take-back the line side is
/// advised open before it is seen open, so the overlap lasts until the line side is seen open or the drive
/// side is advised open.
void law_2_overlap(const Case& at, std::size_t p, bool both_advised) {
    PumpHistory& past = at.history.pumps[p];
    const bool line_side_open = at.off(at.in.pumps[p].line_side_closed);
    const bool taken_back = past.joined_ms != never_ms && at.now.sequence == Sequence::take_back &&
                            bit(at.now.drive_side, p) && !line_side_open;
    if (!both_advised && !taken_back) {
        past.joined_ms = never_ms;
        return;
    }
    if (past.joined_ms == never_ms) past.joined_ms = at.time_ms;
    const std::int64_t joined_ms = at.time_ms - past.joined_ms;
    // The advice to open the line side may come at the limit itself. It ends the overlap, or the fallback
    // follows.
    const bool opens_now = !both_advised && bit(at.was.line_side, p);
    if (joined_ms >= at.settings.step.overlap_ms && !opens_now)
        at.breaks(2, "pump %d: %ld ms after the closing command drive and line are still joined",
                  static_cast<int>(p) + 1, static_cast<long>(joined_ms));
}

}  // namespace

void law_1(const Case& at) {
    if ((at.now.drive_side & (at.now.drive_side - 1)) != 0)
        at.breaks(1, "more than one drive-side contactor is advised closed, a bit per pump: %d",
                  at.now.drive_side);
}

void law_2(const Case& at, bool adopting) {
    double slip_hz = 0;
    double volts_ratio = 0;
    double angle_deg = 0;
    bool within = false;
    if (at.now.synchronise || at.was.synchronise || at.in_transfer(at.now)) {
        const std::int32_t closing_ms = at.now.sequence == Sequence::hand_over
                                            ? at.settings.sync.line_side_closing_ms
                                            : at.settings.sync.drive_side_closing_ms;
        within = own_check_within(at, closing_ms, slip_hz, volts_ratio, angle_deg);
    }
    if (!within || !at.now.synchronise) {
        at.history.in_sync_since_ms = never_ms;
    } else if (at.history.in_sync_since_ms == never_ms) {
        at.history.in_sync_since_ms = at.time_ms;
    }

    const auto both_now = static_cast<std::uint8_t>(at.now.drive_side & at.now.line_side);
    const auto both_was = static_cast<std::uint8_t>(at.was.drive_side & at.was.line_side);
    if (!at.in_transfer(at.now))
        for (PumpHistory& one : at.history.pumps) one.closed_in_sync = false;
    for (std::size_t p = 0; p < at.settings.pump_count; ++p) {
        PumpHistory& past = at.history.pumps[p];
        const core::PumpInputs& seen = at.in.pumps[p];
        law_2_overlap(at, p, bit(both_now, p));
        if (!bit(both_now, p)) {
            past.both_advised_ms = past.both_seen_ms = never_ms;
            continue;
        }
        const bool found = at.on(seen.drive_side_closed) && at.on(seen.line_side_closed);
        const core::Digital& second =
            at.now.sequence == Sequence::hand_over ? seen.line_side_closed : seen.drive_side_closed;
        if (!bit(both_was, p) && !(adopting && found)) {
            if (!at.in_transfer(at.now) || at.now.sequence_pump != p)
                at.breaks(2, "pump %d joined to drive and line outside a transfer", static_cast<int>(p) + 1);
            if (!at.on(at.in.drive.in_sync))
                at.breaks(2, "pump %d joined to drive and line, and the drive is not in sync",
                          static_cast<int>(p) + 1);
            const std::int64_t held_ms =
                at.history.in_sync_since_ms == never_ms ? -1 : at.time_ms - at.history.in_sync_since_ms;
            if (!within || held_ms < at.settings.sync.hold_ms)
                at.breaks(2,
                          "pump %d joined to drive and line at slip %.3f Hz, voltage difference %.4f, angle "
                          "%.2f deg, "
                          "in sync for %ld ms",
                          static_cast<int>(p) + 1, slip_hz, volts_ratio, angle_deg,
                          static_cast<long>(held_ms));
            if (!at.was.drive_run || !at.was.synchronise || !at.now.drive_run || !at.now.synchronise)
                at.breaks(2, "pump %d joined to drive and line, and the drive is not advised to stay in sync",
                          static_cast<int>(p) + 1);
            past.closed_in_sync = true;
        }
        if (adopting && found) past.closed_in_sync = true;
        if (past.both_seen_ms == never_ms && !at.on(second) && !(within && at.on(at.in.drive.in_sync)))
            at.breaks(2, "pump %d: the closing is still advised out of sync, slip %.3f Hz, angle %.2f deg",
                      static_cast<int>(p) + 1, slip_hz, angle_deg);
        if (past.both_advised_ms == never_ms) past.both_advised_ms = at.time_ms;
        if (past.both_seen_ms == never_ms && at.on(second)) past.both_seen_ms = at.time_ms;
        const std::int64_t advised_ms = at.time_ms - past.both_advised_ms;
        if (past.both_seen_ms == never_ms && advised_ms >= at.settings.step.close_ms)
            at.breaks(
                2, "pump %d was advised joined to drive and line for %ld ms, and the contacts do not show it",
                static_cast<int>(p) + 1, static_cast<long>(advised_ms));
    }
}

void law_3(const Case& at) {
    for (std::size_t p = 0; p < at.settings.pump_count; ++p) {
        if (!bit(at.now.line_side, p)) continue;
        const bool begins = !bit(at.was.line_side, p);
        if (!begins && !at.off(at.in.pumps[p].line_side_closed)) continue;
        const PumpHistory& past = at.history.pumps[p];
        const std::int64_t dead_ms = past.fed_ms == never_ms ? hour_ms : at.time_ms - past.fed_ms;
        // The contacts do not exclude that the motor is energised, and the advice until now feeds it.
        const bool fed_now =
            past.fed_ms == at.time_ms && (advised_fed(at.was, p) || past.seen_fed_ms == at.time_ms);
        if (!fed_now && dead_ms < at.settings.permissives.residual_voltage_ms)
            at.breaks(
                3, "pump %d: line side advised closed%s %ld ms after the motor was last energised, step %d",
                static_cast<int>(p) + 1, begins ? "" : " over a contact that is seen open",
                static_cast<long>(dead_ms), static_cast<int>(at.now.step));
    }
}

void law_4(const Case& at) {
    if (!at.now.drive_run) return;
    for (std::size_t p = 0; p < at.settings.pump_count; ++p) {
        const core::PumpInputs& seen = at.in.pumps[p];
        const bool on_bus = bit(at.now.drive_side, p) || at.on(seen.drive_side_closed);
        const bool on_line = bit(at.now.line_side, p) || at.on(seen.line_side_closed);
        if (!on_bus || !on_line) continue;
        if (at.in_transfer(at.now) && at.now.sequence_pump == p && at.now.synchronise &&
            at.history.pumps[p].closed_in_sync)
            continue;
        at.breaks(
            4,
            "the drive is advised to run onto a bus with a pump on the line, pump %d: drive side advised "
            "%d seen %d, line side advised %d seen %d, step %d",
            static_cast<int>(p) + 1, bit(at.now.drive_side, p) ? 1 : 0, at.on(seen.drive_side_closed) ? 1 : 0,
            bit(at.now.line_side, p) ? 1 : 0, at.on(seen.line_side_closed) ? 1 : 0,
            static_cast<int>(at.now.step));
    }
}

void law_8(const Case& at) {
    int moving = 0;
    for (std::size_t p = 0; p < at.settings.pump_count; ++p)
        moving += at.now.state[p] == PumpState::to_line || at.now.state[p] == PumpState::to_drive ? 1 : 0;
    if (moving > 1) at.breaks(8, "%d pumps are in transfer", moving);
    if (moving == 1 && !at.in_transfer(at.now))
        at.breaks(8, "a pump is in transfer, but the sequence is %d", static_cast<int>(at.now.sequence));
    if (at.now.synchronise && !at.in_transfer(at.now))
        at.breaks(8, "synchronising is advised outside a transfer");
    int begun = 0;
    int ended = 0;
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        const auto sequence = static_cast<Sequence>(event.detail);
        if (sequence != Sequence::hand_over && sequence != Sequence::take_back) continue;
        begun += event.what == EventKind::sequence_begun ? 1 : 0;
        ended +=
            event.what == EventKind::sequence_done || event.what == EventKind::sequence_withdrawn ? 1 : 0;
    }
    if (begun > 1 || (begun == 1 && at.in_transfer(at.was) && ended == 0))
        at.breaks(8, "a transfer of pump %d began before another had ended", at.now.sequence_pump + 1);
}

}  // namespace freshet::laws
