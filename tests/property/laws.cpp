// Judging the laws; see the header.
#include "tests/property/laws.hpp"

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <limits>

namespace freshet::laws {

namespace {

using core::Analog;
using core::Digital;
using core::Event;
using core::EventKind;
using core::never_ms;
using core::no_pump;
using core::PumpState;
using core::Quality;
using core::Reason;
using core::Sequence;

constexpr std::int64_t hour_ms = 3'600'000;
constexpr std::int64_t for_ever_ms = std::numeric_limits<std::int64_t>::max();

bool bit(std::uint8_t mask, std::size_t pump) {
    return ((mask >> pump) & 1U) != 0;
}

/// Everything that one judgement looks at.
struct Case {
    const Settings& settings;
    History& history;
    const Inputs& in;
    const Advice& advice;
    const Told& was;
    const Told& now;
    std::vector<Broken>& broken;
    std::int64_t t;

    template <class... Figures>
    void breaks(int law, const char* text, Figures... figures) const {
        std::array<char, 240> line{};
        // The text is ours, and its figures are numbers.
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
#pragma GCC diagnostic ignored "-Wformat-security"
        std::snprintf(line.data(), line.size(), text, figures...);
#pragma GCC diagnostic pop
        broken.push_back({law, line.data()});
    }
    bool young(std::int64_t read_ms) const {
        return read_ms != never_ms && t - read_ms <= settings.signal.stale_ms;
    }
    bool on(const Digital& signal) const {
        return signal.quality != Quality::bad && young(signal.read_ms) && signal.on;
    }
    bool off(const Digital& signal) const {
        return signal.quality != Quality::bad && young(signal.read_ms) && !signal.on;
    }
    bool known(const Analog& signal) const {
        return signal.quality != Quality::bad && young(signal.read_ms);
    }
    bool in_transfer(const Told& told) const {
        return told.sequence == Sequence::hand_over || told.sequence == Sequence::take_back;
    }
    double need_m(double value_m) const {
        return settings.action == core::Action::direct ? value_m - settings.marks.setpoint_m
                                                       : settings.marks.setpoint_m - value_m;
    }
    /// Seen on the line, and one more while the drive feeds a motor.
    int running_pumps() const {
        int running = was.drive_pump != no_pump ? 1 : 0;
        for (std::size_t p = 0; p < settings.pump_count; ++p)
            if (on(in.pumps[p].line_side_closed)) ++running;
        return running;
    }
    /// The high float calls for pumps at a well and stops them at a tank; the low one the other way round.
    bool float_calls() const {
        return settings.action == core::Action::direct ? on(in.high_float) : off(in.low_float);
    }
    bool float_stops() const {
        return settings.action == core::Action::direct ? off(in.low_float) : on(in.high_float);
    }
    bool permission_lost(std::size_t pump) const {
        const core::PumpInputs& one = in.pumps[pump];
        const bool selector_known = one.selector_quality != Quality::bad && young(one.selector_read_ms);
        return on(one.tripped) || (selector_known && one.selector != core::Selector::automatic);
    }
    bool supply_poor() const {
        const Settings::Drive& drive = settings.drive;
        const double band_hz = settings.supply.frequency_band_ratio * drive.line_frequency_hz;
        const bool hz_poor = known(in.line.frequency_hz) &&
                             std::abs(in.line.frequency_hz.value - drive.line_frequency_hz) > band_hz;
        const bool v_poor =
            known(in.line.voltage_v) &&
            in.line.voltage_v.value < settings.supply.voltage_min_ratio * drive.line_voltage_v;
        return hz_poor || v_poor;
    }
};

/// Advised to be fed: from the line, or by the drive that runs through its output.
bool advised_fed(const Told& told, std::size_t pump) {
    return bit(told.line_side, pump) || (bit(told.drive_side, pump) && told.output_close && told.drive_run);
}

/// Drive against line where the contacts will meet, worked out here from the readings.
bool own_check_within(const Case& at, std::int32_t closing_ms, double& slip_hz, double& volts_ratio,
                      double& angle_deg) {
    const core::DriveInputs& drive = at.in.drive;
    const core::LineInputs& line = at.in.line;
    const Settings::SyncCheck& limits = at.settings.sync;
    for (const Analog* one :
         {&drive.frequency_hz, &drive.voltage_v, &drive.angle_deg, &line.frequency_hz, &line.voltage_v})
        if (one->quality != Quality::good || one->read_ms == never_ms ||
            at.t - one->read_ms > limits.age_max_ms)
            return false;
    slip_hz = drive.frequency_hz.value - line.frequency_hz.value;
    volts_ratio = (drive.voltage_v.value - line.voltage_v.value) / line.voltage_v.value;
    const double ahead_s = 1e-3 * static_cast<double>(at.t - drive.angle_deg.read_ms + closing_ms);
    angle_deg = std::remainder(drive.angle_deg.value + 360 * slip_hz * ahead_s, 360.0);
    constexpr double rounding = 1e-9;
    return std::abs(slip_hz) <= limits.slip_max_hz + rounding &&
           std::abs(volts_ratio) <= limits.voltage_max_ratio + rounding &&
           std::abs(angle_deg) <= limits.angle_max_deg + rounding;
}

void law_1(const Case& at) {
    if ((at.now.drive_side & (at.now.drive_side - 1)) != 0)
        at.breaks(1, "drive sides advised closed, as bits: %d", at.now.drive_side);
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
        at.history.in_sync_since_ms = at.t;
    }

    const auto both_now = static_cast<std::uint8_t>(at.now.drive_side & at.now.line_side);
    const auto both_was = static_cast<std::uint8_t>(at.was.drive_side & at.was.line_side);
    if (!at.in_transfer(at.now))
        for (PumpHistory& one : at.history.pumps) one.closed_in_sync = false;
    for (std::size_t p = 0; p < at.settings.pump_count; ++p) {
        PumpHistory& past = at.history.pumps[p];
        if (!bit(both_now, p)) {
            past.both_advised_ms = past.both_seen_ms = never_ms;
            continue;
        }
        const core::PumpInputs& seen = at.in.pumps[p];
        const bool found = at.on(seen.drive_side_closed) && at.on(seen.line_side_closed);
        const core::Digital& second =
            at.now.sequence == Sequence::hand_over ? seen.line_side_closed : seen.drive_side_closed;
        if (!bit(both_was, p) && !(adopting && found)) {
            if (!at.in_transfer(at.now) || at.now.sequence_pump != p)
                at.breaks(2, "pump %d joined outside a transfer", static_cast<int>(p) + 1);
            if (!at.on(at.in.drive.in_sync))
                at.breaks(2, "pump %d joined, drive not in sync", static_cast<int>(p) + 1);
            const std::int64_t held_ms =
                at.history.in_sync_since_ms == never_ms ? -1 : at.t - at.history.in_sync_since_ms;
            if (!within || held_ms < at.settings.sync.hold_ms)
                at.breaks(2, "pump %d joined: slip %.3f Hz, volts %.4f, angle %.2f deg, held %ld ms",
                          static_cast<int>(p) + 1, slip_hz, volts_ratio, angle_deg,
                          static_cast<long>(held_ms));
            if (!at.was.drive_run || !at.was.synchronise || !at.now.drive_run || !at.now.synchronise)
                at.breaks(2, "pump %d joined while the drive was not kept in step", static_cast<int>(p) + 1);
            past.closed_in_sync = true;
        }
        if (adopting && found) past.closed_in_sync = true;
        if (past.both_seen_ms == never_ms && !at.on(second) && !(within && at.on(at.in.drive.in_sync)))
            at.breaks(2, "pump %d: closing left standing out of sync, slip %.3f Hz, angle %.2f deg",
                      static_cast<int>(p) + 1, slip_hz, angle_deg);
        if (past.both_advised_ms == never_ms) past.both_advised_ms = at.t;
        if (past.both_seen_ms == never_ms && at.on(second)) past.both_seen_ms = at.t;
        const std::int64_t overlap_ms = at.settings.step.overlap_ms;
        const std::int64_t seen_ms = past.both_seen_ms == never_ms ? 0 : at.t - past.both_seen_ms;
        const std::int64_t advised_ms = at.t - past.both_advised_ms;
        if (past.both_seen_ms != never_ms && seen_ms >= overlap_ms)
            at.breaks(2, "pump %d seen joined for %ld ms and still advised so", static_cast<int>(p) + 1,
                      static_cast<long>(seen_ms));
        if (past.both_seen_ms == never_ms && advised_ms >= at.settings.step.close_ms)
            at.breaks(2, "pump %d advised joined for %ld ms without being seen so", static_cast<int>(p) + 1,
                      static_cast<long>(advised_ms));
    }
}

void law_3(const Case& at) {
    for (std::size_t p = 0; p < at.settings.pump_count; ++p) {
        if (!bit(at.now.line_side, p)) continue;
        const bool begins = !bit(at.was.line_side, p);
        if (!begins && !at.off(at.in.pumps[p].line_side_closed)) continue;
        const PumpHistory& past = at.history.pumps[p];
        const std::int64_t dead_ms = past.fed_ms == never_ms ? hour_ms : at.t - past.fed_ms;
        // Energised: as far as the contacts let one know, and advised so until now.
        const bool fed_now = past.fed_ms == at.t && (advised_fed(at.was, p) || past.seen_fed_ms == at.t);
        if (!fed_now && dead_ms < at.settings.permissives.residual_voltage_ms)
            at.breaks(3, "pump %d: line side advised closed%s %ld ms after it was last energised, step %d",
                      static_cast<int>(p) + 1, begins ? "" : " and seen open", static_cast<long>(dead_ms),
                      static_cast<int>(at.now.step));
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
        at.breaks(4,
                  "drive advised to run, pump %d: drive side advised %d seen %d, line side advised %d seen "
                  "%d, step %d",
                  static_cast<int>(p) + 1, bit(at.now.drive_side, p) ? 1 : 0,
                  at.on(seen.drive_side_closed) ? 1 : 0, bit(at.now.line_side, p) ? 1 : 0,
                  at.on(seen.line_side_closed) ? 1 : 0, static_cast<int>(at.now.step));
    }
}

void law_5(const Case& at) {
    History& past = at.history;
    const bool run_advised = at.now.drive_run || at.now.line_side != 0;
    const auto since = [&](std::int64_t& since_ms, bool holds) {
        if (!holds) {
            since_ms = never_ms;
            return std::int64_t{-1};
        }
        if (since_ms == never_ms) since_ms = at.t;
        return at.t - since_ms;
    };
    const std::int64_t low_float_ms = since(past.low_float_ms, at.settings.floats.fitted && at.float_stops());
    const std::int64_t poor_ms = since(past.supply_poor_ms, at.supply_poor());
    if (!run_advised) return;
    const bool value_good = at.advice.measured_quality == Quality::good;
    const bool value_known = at.advice.measured_quality != Quality::bad;
    const double need_m = at.need_m(at.advice.measured_m);
    if (at.on(at.in.emergency_stop))
        at.breaks(5, "emergency stop, line sides %d drive %d", at.now.line_side, at.now.drive_run ? 1 : 0);
    if (value_known && need_m <= at.need_m(at.settings.marks.low_cutoff_m))
        at.breaks(5, "value %.3f m at or past the low cut-off %.3f m", at.advice.measured_m,
                  at.settings.marks.low_cutoff_m);
    if (low_float_ms >= at.settings.floats.hold_ms &&
        !(value_good && need_m > at.need_m(at.settings.marks.stop_m)))
        at.breaks(5, "low float off for %ld ms", static_cast<long>(low_float_ms));
    if (poor_ms >= at.settings.supply.lost_hold_ms)
        at.breaks(5, "supply poor for %ld ms", static_cast<long>(poor_ms));
    for (std::size_t p = 0; p < at.settings.pump_count; ++p)
        if (at.permission_lost(p) &&
            (bit(at.now.line_side, p) || (bit(at.now.drive_side, p) && at.now.drive_run)))
            at.breaks(5, "pump %d has no permission: line side %d, drive side %d, drive %d, step %d",
                      static_cast<int>(p) + 1, bit(at.now.line_side, p) ? 1 : 0,
                      bit(at.now.drive_side, p) ? 1 : 0, at.now.drive_run ? 1 : 0,
                      static_cast<int>(at.now.step));
}

/// Grounds on which staging stops a pump, so that the minimum run counts.
bool is_staging(Reason why) {
    switch (why) {
        case Reason::demand_at_bottom:
        case Reason::value_past_stop:
        case Reason::band_ridden:
        case Reason::exercise_due:
        case Reason::forecast_empty:
        case Reason::pressure_high:
        case Reason::confirmed:
        case Reason::in_sync:
        case Reason::none:
            return true;
        default:
            return false;
    }
}

/// Whether the inputs bear out a protective ground for stopping a pump that runs steadily.
bool is_borne_out(const Case& at, Reason why, std::size_t p) {
    const core::PumpInputs& pump = at.in.pumps[p];
    const core::DriveInputs& drive = at.in.drive;
    const double running_a = 0.1 * at.settings.rated_current_a;
    switch (why) {
        case Reason::emergency_stop:
            return at.on(at.in.emergency_stop);
        case Reason::low_cutoff:
            return at.need_m(at.advice.measured_m) <= at.need_m(at.settings.marks.low_cutoff_m);
        case Reason::low_float:
        case Reason::high_float:
            return at.float_stops();
        case Reason::supply_lost:
            return at.supply_poor();
        case Reason::pumps_max_reached:
            return at.running_pumps() > (at.on(at.in.line.on_generator)
                                             ? at.settings.permissives.pumps_max_on_generator
                                             : at.settings.permissives.pumps_max_on_line);
        case Reason::pump_tripped:
            return at.on(pump.tripped);
        case Reason::selector_hand:
        case Reason::selector_off:
            return at.permission_lost(p);
        case Reason::drive_tripped:
            return at.on(drive.tripped);
        case Reason::drive_not_ready:
            return at.off(drive.ready);
        case Reason::drive_lost:
            return !at.on(drive.running) || !at.off(pump.line_side_closed) || (at.was.drive_side != 0);
        case Reason::contact_contradicts:
            return !at.on(pump.line_side_closed) || !at.on(pump.drive_side_closed) ||
                   !at.on(drive.output_closed) ||
                   (at.on(pump.line_side_closed) && at.on(pump.drive_side_closed));
        case Reason::current_missing:
            return at.known(pump.current_a) && pump.current_a.value < running_a;
        default:
            return false;
    }
}

/// Starts one after another, where the station states them: so many from cold, so many from warm, and then a
/// rest. A long run leaves the motor evenly warm, as the rest does.
void law_6_succession(const Case& at, std::size_t p, std::int64_t rest_ms, std::int64_t ran_ms) {
    const Settings::Succession& limits = at.settings.succession;
    if (limits.cold_starts_max == 0) return;
    PumpHistory& past = at.history.pumps[p];
    const bool rested = rest_ms >= limits.rest_ms || rest_ms >= limits.cool_ms;
    if (rested || ran_ms >= limits.even_run_ms) {
        past.series = 0;
        past.series_from_cold = rest_ms >= limits.cool_ms;
    }
    if (at.now.sequence != Sequence::line_start && !limits.drive_starts_count) return;
    const int most = past.series_from_cold ? limits.cold_starts_max : limits.warm_starts_max;
    if (++past.series > most)
        at.breaks(6, "pump %d: start %d of %d in succession, rest %ld ms, ran %ld ms before",
                  static_cast<int>(p) + 1, past.series, most, static_cast<long>(rest_ms),
                  static_cast<long>(ran_ms));
}

void law_6(const Case& at, bool adopting) {
    const Settings::Permissives& limits = at.settings.permissives;
    for (std::size_t i = 0; i < at.advice.event_count && !adopting; ++i) {
        const Event& event = at.advice.events[i];
        if (event.what != EventKind::sequence_begun) continue;
        const auto begun = static_cast<Sequence>(event.detail);
        if (begun == Sequence::hand_over || begun == Sequence::take_back) {
            at.history.transfers.note(at.t);
            const int transfers = at.history.transfers.within_hour(at.t);
            if (transfers > limits.transfers_per_hour_max)
                at.breaks(6, "%d transfers within the hour", transfers);
        }
        if ((begun == Sequence::stop_on_drive || begun == Sequence::stop_from_line) &&
            event.pump != no_pump) {
            const PumpHistory& past = at.history.pumps[event.pump];
            const std::int64_t run_ms = past.started_ms == never_ms ? hour_ms : at.t - past.started_ms;
            if (run_ms >= limits.run_min_ms) continue;
            if (is_staging(event.why))
                at.breaks(6, "pump %d stopped by staging after %ld ms", event.pump + 1,
                          static_cast<long>(run_ms));
            else if (!is_borne_out(at, event.why, event.pump))
                at.breaks(6, "pump %d stopped after %ld ms for reason %d that the inputs do not show",
                          event.pump + 1, static_cast<long>(run_ms), static_cast<int>(event.why));
        }
    }

    for (std::size_t p = 0; p < at.settings.pump_count; ++p) {
        PumpHistory& past = at.history.pumps[p];
        const bool fed = advised_fed(at.now, p);
        const bool was_fed = advised_fed(at.was, p);
        if (fed == was_fed) continue;
        const auto number = static_cast<int>(p) + 1;
        if (!fed) {
            const bool stopping =
                at.was.sequence == Sequence::stop_on_drive || at.was.sequence == Sequence::stop_from_line;
            const std::int64_t run_ms = past.started_ms == never_ms ? hour_ms : at.t - past.started_ms;
            if (stopping || run_ms >= limits.run_min_ms) continue;
            const Event* last = nullptr;
            for (std::size_t i = 0; i < at.advice.event_count; ++i) {
                const Event& event = at.advice.events[i];
                if ((event.what == EventKind::step_entered || event.what == EventKind::pump_state) &&
                    event.pump == p)
                    last = &event;
            }
            if (last != nullptr && is_staging(last->why))
                at.breaks(6, "pump %d stopped after %ld ms on the straight way, step %d", number,
                          static_cast<long>(run_ms), last->detail);
            continue;
        }
        if (adopting) continue;
        const std::int64_t rest_ms = past.seen_fed_ms == never_ms ? for_ever_ms : at.t - past.seen_fed_ms;
        const bool ran = past.started_ms != never_ms && past.fed_ms != never_ms;
        law_6_succession(at, p, rest_ms, ran ? past.fed_ms - past.started_ms : 0);
        past.started_ms = at.t;
        if (at.now.sequence != Sequence::start_on_drive && at.now.sequence != Sequence::line_start)
            at.breaks(6, "pump %d advised energised outside a start, step %d", number,
                      static_cast<int>(at.now.step));
        past.starts.note(at.t);
        const int starts = past.starts.within_hour(at.t);
        if (starts > limits.starts_per_hour_max)
            at.breaks(6, "pump %d: %d starts within the hour", number, starts);
        if (rest_ms < limits.rest_min_ms)
            at.breaks(6, "pump %d started after %ld ms of rest", number, static_cast<long>(rest_ms));
    }
}

/// Whether a transmitter, taken for itself, says something that may start a pump. Renews its history.
bool speaks(const Case& at, std::size_t i) {
    TransmitterHistory& past = at.history.transmitter[i];
    const bool level = at.settings.measured == core::Measured::level;
    const core::TransmitterSettings& range =
        level ? at.settings.level_transmitter[i] : at.settings.pressure_transmitter;
    if (!range.fitted || (!level && i > 0)) return false;
    const core::Transmitter& seen = level ? at.in.level[i] : at.in.header_pressure;
    const bool by_loop = !std::isnan(seen.loop_ma);
    constexpr double failed_low_ma = 3.6;  // NAMUR NE 43
    constexpr double failed_high_ma = 21.0;
    const bool silent = seen.reading.quality == Quality::bad || !at.young(seen.reading.read_ms);
    if (silent || (by_loop && !(seen.loop_ma > failed_low_ma && seen.loop_ma < failed_high_ma))) {
        past = {};
        return false;
    }
    const double value_m = by_loop ? range.value_at_4ma_m + (range.value_at_20ma_m - range.value_at_4ma_m) *
                                                                (seen.loop_ma - 4) / 16
                                   : seen.reading.value;
    const Settings::SignalLimits& limits = at.settings.signal;
    if (past.value_ms != never_ms) {
        const double elapsed_s = 1e-3 * static_cast<double>(at.t - past.value_ms);
        constexpr double rounding = 1e-9;
        if (std::abs(value_m - past.value_m) >
            limits.disagreement_m + limits.rate_max_m_s * elapsed_s + rounding) {
            if (past.implausible_ms == never_ms) past.implausible_ms = at.t;
            if (at.t - past.implausible_ms < limits.fault_hold_ms) return false;
        }
    }
    past = {value_m, at.t, never_ms};
    return true;
}

void law_7(const Case& at, bool adopting) {
    const bool first = speaks(at, 0);
    const bool second = speaks(at, 1);
    const bool high = at.settings.floats.fitted && at.float_calls();
    std::int64_t& since_ms = at.history.high_float_ms;
    since_ms = !high ? never_ms : (since_ms == never_ms ? at.t : since_ms);
    if (adopting || first || second) return;
    const bool held = high && at.t - since_ms >= at.settings.floats.hold_ms;
    if (held) return;
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        const auto begun = static_cast<Sequence>(event.detail);
        if (event.what == EventKind::sequence_begun &&
            (begun == Sequence::start_on_drive || begun == Sequence::line_start))
            at.breaks(7, "pump %d started without a reading to start from, reason %d", event.pump + 1,
                      static_cast<int>(event.why));
    }
}

void law_8(const Case& at) {
    int moving = 0;
    for (std::size_t p = 0; p < at.settings.pump_count; ++p)
        moving += at.now.state[p] == PumpState::to_line || at.now.state[p] == PumpState::to_drive ? 1 : 0;
    if (moving > 1) at.breaks(8, "%d pumps in transfer", moving);
    if (moving == 1 && !at.in_transfer(at.now))
        at.breaks(8, "a pump in transfer, sequence %d", static_cast<int>(at.now.sequence));
    if (at.now.synchronise && !at.in_transfer(at.now)) at.breaks(8, "synchronising outside a transfer");
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
        at.breaks(8, "a transfer begun beside another, pump %d", at.now.sequence_pump + 1);
}

struct Accounts {
    std::uint8_t pumps_moved = 0;   ///< a step or a state of this pump
    std::uint8_t pumps_stated = 0;  ///< a state of this pump
    bool sequence = false, service = false, quality = false;
};

Accounts accounts_of(const Case& at) {
    Accounts accounts;
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        if (event.why == Reason::none) at.breaks(9, "event %u without a reason", event.number);
        const bool of_pump = event.pump < at.settings.pump_count;
        const auto mask = static_cast<std::uint8_t>(of_pump ? 1U << event.pump : 0U);
        switch (event.what) {
            case EventKind::step_entered:
                accounts.sequence = true;
                accounts.pumps_moved = static_cast<std::uint8_t>(accounts.pumps_moved | mask);
                break;
            case EventKind::pump_state:
                accounts.pumps_moved = static_cast<std::uint8_t>(accounts.pumps_moved | mask);
                accounts.pumps_stated = static_cast<std::uint8_t>(accounts.pumps_stated | mask);
                break;
            case EventKind::sequence_begun:
            case EventKind::sequence_done:
            case EventKind::sequence_withdrawn:
                accounts.sequence = true;
                break;
            case EventKind::service:
                accounts.service = true;
                break;
            case EventKind::measured_quality:
                accounts.quality = true;
                break;
            default:
                break;
        }
    }
    return accounts;
}

/// An alarm comes, goes or is answered: raised, returned, or by what people did.
bool is_of_alarm(EventKind what) {
    return what == EventKind::alarm_raised || what == EventKind::alarm_returned ||
           what == EventKind::alarm_acknowledged || what == EventKind::alarm_shelved ||
           what == EventKind::alarm_unshelved || what == EventKind::alarm_out_of_service ||
           what == EventKind::alarm_in_service;
}

void law_9_alarms(const Case& at, std::uint32_t changed, std::uint8_t pump) {
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        if (is_of_alarm(event.what) && event.pump == pump) changed &= ~(1U << event.detail);
    }
    if (changed != 0)
        at.breaks(9, "alarms of pump %d changed without an event, bits %u", pump == no_pump ? 0 : pump + 1,
                  changed);
}

void law_9(const Case& at) {
    if (at.now == at.was && at.advice.event_count == 0) return;
    const Accounts accounts = accounts_of(at);
    const Told& was = at.was;
    const Told& now = at.now;
    for (std::size_t p = 0; p < at.settings.pump_count; ++p) {
        const bool contactors = bit(
            static_cast<std::uint8_t>((was.drive_side ^ now.drive_side) | (was.line_side ^ now.line_side)),
            p);
        if (contactors && !bit(accounts.pumps_moved, p))
            at.breaks(9, "contactors of pump %d changed without an event", static_cast<int>(p) + 1);
        if (was.state[p] != now.state[p] && !bit(accounts.pumps_stated, p))
            at.breaks(9, "state of pump %d changed without an event", static_cast<int>(p) + 1);
        const int alarms = (was.pump_alarms[p] ^ now.pump_alarms[p]) |
                           (was.pump_unacknowledged[p] ^ now.pump_unacknowledged[p]);
        law_9_alarms(at, static_cast<std::uint32_t>(alarms), static_cast<std::uint8_t>(p));
    }
    const bool drive = was.drive_run != now.drive_run || was.synchronise != now.synchronise ||
                       was.output_close != now.output_close || was.drive_pump != now.drive_pump;
    const bool place =
        was.sequence != now.sequence || was.step != now.step || was.sequence_pump != now.sequence_pump;
    if (drive && accounts.pumps_moved == 0) at.breaks(9, "advice to the drive changed without an event");
    if (place && !accounts.sequence) at.breaks(9, "the step changed without an event");
    if (was.service != now.service && !accounts.service) at.breaks(9, "the service changed without an event");
    if ((was.quality != now.quality || was.cause != now.cause) && !accounts.quality)
        at.breaks(9, "the quality of the measured value changed without an event");
    law_9_alarms(
        at,
        (was.station_alarms ^ now.station_alarms) | (was.station_unacknowledged ^ now.station_unacknowledged),
        no_pump);
}

void law_10(const Case& at) {
    if (at.advice.events_lost) at.breaks(10, "events lost, %d kept", at.advice.event_count);
    std::array<int, core::pumps_max> entered{};
    std::array<int, core::pumps_max> admitted{};
    admitted.fill(1);
    std::uint32_t number = at.history.last_event;
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        if (event.number != ++number) at.breaks(10, "event %u where %u was due", event.number, number);
        if (event.cause_number >= event.number)
            at.breaks(10, "event %u caused by %u", event.number, event.cause_number);
        if (event.what == EventKind::protective_stop)
            for (int& most : admitted) ++most;
        if (event.pump >= at.settings.pump_count) continue;
        if (event.what == EventKind::step_entered) ++entered[event.pump];
        if (event.what == EventKind::sequence_begun) ++admitted[event.pump];
    }
    at.history.last_event = number;
    for (std::size_t p = 0; p < at.settings.pump_count; ++p)
        if (entered[p] > admitted[p])
            at.breaks(10, "pump %d entered %d steps in one scan", static_cast<int>(p) + 1, entered[p]);
}

/// Renews what is known of each motor's feeding, before the laws look at it.
void renew_feeding(const Case& at) {
    const bool output_may = !at.off(at.in.drive.output_closed);
    const bool drive_may = !at.off(at.in.drive.running);
    const bool drive_feeds = at.on(at.in.drive.output_closed) && at.on(at.in.drive.running);
    for (std::size_t p = 0; p < at.settings.pump_count; ++p) {
        const core::PumpInputs& seen = at.in.pumps[p];
        PumpHistory& past = at.history.pumps[p];
        const bool may_be_fed =
            !at.off(seen.line_side_closed) || (!at.off(seen.drive_side_closed) && output_may && drive_may);
        if (may_be_fed) past.fed_ms = at.t;
        const bool surely_fed =
            at.on(seen.line_side_closed) || (at.on(seen.drive_side_closed) && drive_feeds);
        // What was advised until now counts as energised up to this scan, unless its contacts were seen not
        // to follow.
        if (surely_fed || (advised_fed(at.was, p) && may_be_fed)) past.seen_fed_ms = at.t;
    }
}

bool takes_over(const Advice& advice) {
    for (std::size_t i = 0; i < advice.event_count; ++i)
        if (advice.events[i].why == Reason::picture_consistent) return true;
    return false;
}

}  // namespace

int HourBook::within_hour(std::int64_t now_ms) const {
    const std::size_t most = count < kept ? count : kept;
    int within = 0;
    for (std::size_t i = 0; i < most; ++i) within += now_ms - at_ms[i] < hour_ms ? 1 : 0;
    return within;
}

Told told_by(const Advice& advice, std::size_t pump_count) {
    Told told;
    for (std::size_t p = 0; p < pump_count; ++p) {
        const core::PumpAdvice& one = advice.pumps[p];
        told.drive_side = static_cast<std::uint8_t>(told.drive_side | (one.drive_side_close ? 1U << p : 0U));
        told.line_side = static_cast<std::uint8_t>(told.line_side | (one.line_side_close ? 1U << p : 0U));
        told.state[p] = one.state;
        told.pump_alarms[p] = advice.pump_alarms[p];
        told.pump_unacknowledged[p] = advice.pump_alarms_unacknowledged[p];
    }
    told.drive_run = advice.drive_run;
    told.synchronise = advice.synchronise;
    told.output_close = advice.output_close;
    told.sequence = advice.sequence;
    told.step = advice.step;
    told.sequence_pump = advice.sequence_pump;
    told.drive_pump = advice.drive_pump;
    told.service = advice.service;
    told.quality = advice.measured_quality;
    told.cause = advice.measured_cause;
    told.station_alarms = advice.station_alarms;
    told.station_unacknowledged = advice.station_alarms_unacknowledged;
    return told;
}

void judge_scan(const Settings& settings, History& history, const Inputs& inputs, const Advice& advice,
                std::vector<Broken>& broken) {
    const Told now = told_by(advice, settings.pump_count);
    const Case at{settings, history, inputs, advice, history.before, now, broken, inputs.time_ms};
    const bool adopting = !history.adopted && takes_over(advice);
    history.adopted = history.adopted || adopting;
    renew_feeding(at);
    if (history.adopted) {
        law_1(at);
        law_2(at, adopting);
        law_3(at);
        law_4(at);
        law_5(at);
        law_6(at, adopting);
        law_8(at);
        if (!history.first) law_9(at);
    }
    law_7(at, adopting || !history.adopted);
    law_10(at);
    history.before = now;
    history.first = false;
}

}  // namespace freshet::laws
