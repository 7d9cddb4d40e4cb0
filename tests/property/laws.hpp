// The laws of the controller as an independent judge. The judge sees inputs and advice only, keeps its
// own history, and shares no code with the sequencer. One reason to change: a law.
//
//  1. At most one motor's drive-side contactor is advised closed.
//
//  2. A motor's two contactors are advised closed together only inside a transfer that was in sync when the
//     closing began. The overlap counts from the command that closes the second contactor. Past the overlap
// limit
//     the fallback has begun: they are no longer advised closed together, and in a take-back whose line side
// is not
//     seen open, the drive side is advised open. If synchronism is lost before the contact is seen closed,
// the closing is no longer advised.
//
//  3. No line-side contactor is advised to close on a turning, de-energised motor before the residual-voltage
//     time is over. A closing does not begin before then, and no closing stays advised over a contact that is
//     seen open.
//
//  4. The drive is never advised to run onto a bus whose motor is on the line, except in sync inside a
//     transfer.
//
//  5. The low cut-off, an emergency stop or a lost permission removes the run advice in the same scan. A float
//     that calls for pumps outvotes one transmitter at the cut-off, while the float that stops pumps is at rest.
//     The float that stops pumps gives way to two transmitters that agree, to the float that calls, and to a
//     value together with water that was proven and that the pumps cannot have taken yet. A float that operated
//     together with the calling float, at a value past the stage-up mark, is disproved until the float returns.
//
//  6. The minimum times of run and rest, and the starts and transfers per hour, are kept, unless the limit
// gave
//     way to water in danger with an event (law 12). Only a stop for protection may break the minimum run.
// When the
//     water calls for pumps, the rest of a pump that stopped for protection or on a poor supply may end
// early.
//
//  7. Bad, stale or implausible data never starts a pump. A float that calls for long enough may. While the float
//     that stops pumps is at rest, the inflow of the last five minutes may, too.
//
//  8. At most one transfer is under way.
//
//  9. Every change of advice has an event with a reason in the same scan. Every start names why its pump was
//     chosen.
//
// 10. The scan never allocates, never throws, loses no event, and leaves at most one step per run.
//
// 11. A line start is advised only where the station allows line starts, at their spacing, and never of a
// motor
//     whose drive side is closed. A line start begins only while the drive cannot take a motor, or next to a
// drive
//     pump whose hand-over failed.
//
// 12. Only limits that spare the machines give way, each with an event, and only while the value is past its
//     setpoint or a float calls for pumps.
//
// 13. No pump is stopped or taken back for less pumping while the need plainly rises above the stop mark.
//
// 14. No pump starts between an emergency stop and the reset. A reset counts when an earlier scan has read
// the
//     release: an order at the panel, or a press of the reset button that was released before.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "controller/core/advice.hpp"
#include "controller/core/inputs.hpp"
#include "controller/core/settings.hpp"

namespace freshet::laws {

using core::Advice;
using core::Inputs;
using core::Settings;

/// A broken law and the figures that show it.
struct Broken {
    int law = 0;
    std::string figures;
};

/// The advice of a scan without its figures and events. Law 9 requires an event for each change of this part.
struct Advised {
    std::uint8_t drive_side = 0, line_side = 0;  ///< a bit per pump
    bool drive_run = false, synchronise = false, output_close = false;
    core::Sequence sequence = core::Sequence::none;
    core::Step step = core::Step::idle;
    std::uint8_t sequence_pump = core::no_pump, drive_pump = core::no_pump;
    core::Service service = core::Service::hold;
    core::Quality quality = core::Quality::bad;
    core::Cause cause = core::Cause::never_read;
    std::array<core::PumpState, core::pumps_max> state{};
    std::array<std::uint16_t, core::pumps_max> pump_alarms{}, pump_unacknowledged{};
    std::uint32_t station_alarms = 0, station_unacknowledged = 0;

    bool operator==(const Advised&) const = default;
};
Advised advised_in(const Advice& advice, std::size_t pump_count);

/// The latest starts or transfers, which are limited per hour. The judge keeps its own list.
struct HourBook {
    static constexpr std::size_t kept = 16;
    std::array<std::int64_t, kept> at_ms{};
    std::size_t count = 0;

    void note(std::int64_t now_ms) { at_ms[count++ % kept] = now_ms; }
    int within_hour(std::int64_t now_ms) const;
};

struct PumpHistory {
    std::int64_t fed_ms = core::never_ms;  ///< last scan in which the motor was or may have been energised
    std::int64_t seen_fed_ms = core::never_ms;      ///< last scan in which the motor was surely energised
    std::int64_t started_ms = core::never_ms;       ///< beginning of the present run
    std::int64_t both_advised_ms = core::never_ms;  ///< since when both contactors are advised closed
    std::int64_t both_seen_ms = core::never_ms;     ///< since when both are advised and seen closed
    std::int64_t joined_ms = core::never_ms;  ///< command that joined drive and line in the present transfer
    bool closed_in_sync = false;              ///< the present transfer joined drive and line in sync
    bool line_side_failed = false;            ///< its last hand-over or line start was withdrawn
    bool stopped_involuntarily = false;       ///< the last stop was for protection or on a poor supply
    bool started_for_water = false;           ///< the water called for pumps when its last start began
    HourBook starts;
    /// When a limit last gave way to water in danger, for each Permissive.
    std::array<std::int64_t, static_cast<std::size_t>(core::Permissive::count)> yielded = [] {
        std::array<std::int64_t, static_cast<std::size_t>(core::Permissive::count)> none{};
        none.fill(core::never_ms);
        return none;
    }();
    int series = 0;  ///< starts in succession, since the last long rest or long run
    bool series_from_cold = false;
};

struct TransmitterHistory {
    double value_m = 0;
    std::int64_t value_ms = core::never_ms;        ///< of the last plausible value
    std::int64_t implausible_ms = core::never_ms;  ///< since when its values change faster than water can
};

/// The mean need of the last two half minutes.
struct NeedHistory {
    std::int64_t since_ms = core::never_ms;
    double sum_m = 0;
    int samples = 0;
    double last_m = 0, before_last_m = 0;
    int means = 0;  ///< how many of the two are known
};

/// The past, as far as the laws need it.
struct History {
    bool adopted = false;  ///< the controller has taken over the station; the laws apply from then on
    bool first = true;     ///< no scan was judged yet
    Advised before;
    std::array<PumpHistory, core::pumps_max> pumps{};
    HourBook transfers;
    NeedHistory need;
    unsigned transfers_withdrawn = 0;              ///< in a row
    bool drive_withdrawn = false;                  ///< the last sequence of the drive was withdrawn
    std::int64_t drive_clear_ms = core::never_ms;  ///< since when the drive is read as not tripped
    HourBook drive_trips;
    bool drive_trips_spent = false;                  ///< the drive tripped too often within an hour
    std::int64_t line_started_ms = core::never_ms;   ///< begin of the last line start
    std::int64_t in_sync_since_ms = core::never_ms;  ///< by the judge's own sync check
    std::int64_t high_float_ms = core::never_ms, low_float_ms = core::never_ms,
                 supply_poor_ms = core::never_ms;
    std::array<TransmitterHistory, core::transmitters_max> transmitter{};
    /// Water that a float or two transmitters proved, less what the pumps took since at half their minimum flow.
    double proven_m3 = 0;
    std::int64_t proven_ms = core::never_ms;
    bool float_disproved =
        false;  ///< both floats operated at once, and the value agreed with the calling float
    std::int64_t good_ms = core::never_ms;  ///< last scan with a good measured value
    std::uint32_t last_event = 0;
    bool stopped = false;   ///< an emergency stop was operated, and nobody has reset it since
    bool released = false;  ///< ... and an earlier scan has read its release
    bool button_let_go = false;
};

/// Judges one scan: `advice` was made from `inputs`. Adds each broken law to `broken` and updates the
/// history.
void judge_scan(const Settings& settings, History& history, const Inputs& inputs, const Advice& advice,
                std::vector<Broken>& broken);

}  // namespace freshet::laws
