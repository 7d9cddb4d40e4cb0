// Checks of equipment against equipment, and of settings against the station they are for.
// One reason to change: a contradiction between parts of a station file.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "config/engineering/derive.hpp"
#include "config/engineering/rules.hpp"
#include "config/loader/checks.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/staging.hpp"

namespace freshet::config {
namespace {

template <class... Values>
void refuse(Source& source, const Node& root, std::string_view path, fmt::format_string<Values...> format,
            Values&&... values) {
    source.error(place_of(root, path), fmt::format(format, std::forward<Values>(values)...));
}

/// A value that is proposed must do as it is printed: up, or down, to so many of a unit.
double rounded_up(double value, double per_unit) {
    return std::ceil(value * per_unit) / per_unit;
}
double rounded_down(double value, double per_unit) {
    return std::floor(value * per_unit) / per_unit;
}

constexpr double ms_per_s = 1000, ms_per_min = 60'000, s_per_hour = 3600, s_per_min = 60;

/// A time that is proposed as a greatest one.
std::string time_down(double seconds) {
    constexpr double shown_in_minutes_s = 120, tenths = 10;
    return seconds < shown_in_minutes_s ? fmt::format("{:g} s", rounded_down(seconds, 1))
                                        : fmt::format("{:g} min", rounded_down(seconds / s_per_min, tenths));
}

/// A mark of the duty, by its key in the file.
struct Mark {
    std::string_view key;
    double value_m;
};

void check_supply(Source& source, const Node& root, const Station& station) {
    const Nameplate& plate = station.motor.nameplate;
    const Supply& supply = station.supply;
    constexpr double voltage_tolerance = 0.1;  // motors are made to run within a tenth of their voltage
    if (std::abs(supply.voltage_v / plate.voltage_v - 1) > voltage_tolerance)
        refuse(source, root, "supply.voltage",
               "the supply has {:g} V and the motor {:g} V; agreement within 10 % was expected",
               supply.voltage_v, plate.voltage_v);
    if (supply.frequency_hz != plate.frequency_hz)
        refuse(source, root, "supply.frequency",
               "the supply has {:g} Hz and the motor {:g} Hz; the same frequency was expected",
               supply.frequency_hz, plate.frequency_hz);
    if (station.drive.frequency_max_hz < supply.frequency_hz)
        refuse(source, root, "drive.frequency_max",
               "the drive reaches {:g} Hz and the line has {:g} Hz; at least the line's frequency was "
               "expected, or "
               "no motor can be handed over",
               station.drive.frequency_max_hz, supply.frequency_hz);
    const double rated_a = rated_current_a(station.motor);
    if (station.drive.current_limit_a < rated_a)
        refuse(source, root, "drive.current_limit",
               "the drive is limited to {:g} A and a motor takes {:.4g} A at rated load; at least that was "
               "expected",
               station.drive.current_limit_a, rated_a);
    constexpr double speed_tolerance = 0.05;
    if (std::abs(line_speed_ratio(station) - 1) > speed_tolerance)
        refuse(source, root, "pump.rated_speed",
               "the pump is rated at {:g} rpm and its motor turns at {:g} rpm; agreement within 5 % was "
               "expected",
               station.pump.rated_speed_rpm, plate.speed_rpm);
}

void check_ranges(Source& source, const Node& root, const Station& station, const core::Settings& settings) {
    const core::Settings::Marks& marks = settings.marks;
    const auto [low_m, high_m] = std::minmax({marks.low_cutoff_m, marks.high_alarm_m});
    const auto covers = [&](std::string_view path, double at_4ma_m, double at_20ma_m) {
        if (low_m < at_4ma_m || high_m > at_20ma_m)
            refuse(source, root, path,
                   "the transmitter reads from {:g} to {:g} m; a range that holds all marks, {:g} to {:g} m, "
                   "was expected",
                   at_4ma_m, at_20ma_m, low_m, high_m);
    };
    if (settings.measured == core::Measured::header_pressure) {
        if (!(station.air_vessel.precharge_head_m < marks.stage_up_m))
            refuse(source, root, "air_vessel.precharge_head",
                   "precharge_head is {:g} m; less than stage_up, {:g} m, was expected, or the vessel holds "
                   "no water there",
                   station.air_vessel.precharge_head_m, marks.stage_up_m);
        return covers("instruments.header_pressure", station.instruments.pressure_at_4ma_m,
                      station.instruments.pressure_at_20ma_m);
    }
    for (std::size_t i = 0; i < station.instruments.level.size(); ++i)
        covers(fmt::format("instruments.level[{}]", i), station.instruments.level[i].level_at_4ma_m,
               station.instruments.level[i].level_at_20ma_m);

    const Well& well = station.well;
    const double floor_m = well.storage.front().level_m;
    const bool direct = settings.action == core::Action::direct;
    const std::string_view low = direct ? "low_cutoff" : "low_alarm";
    const std::string_view high = direct ? "high_alarm" : "high_cutoff";
    if (low_m < floor_m)
        refuse(source, root, fmt::format("control.marks.{}", low),
               "{} is {:g} m; a mark above the floor at {:g} m was expected", low, low_m, floor_m);
    if (high_m >= well.overflow_level_m)
        refuse(source, root, fmt::format("control.marks.{}", high),
               "{} is {:g} m; a mark below the overflow at {:g} m was expected", high, high_m,
               well.overflow_level_m);
}

void check_floats(Source& source, const Node& root, const Station& station, const core::Settings& settings) {
    const Node* instruments = find(root, "instruments");
    const bool fitted = instruments != nullptr && find(*instruments, "floats") != nullptr;
    if (fitted != settings.floats.fitted)
        return refuse(source, root, fitted ? "instruments.floats" : "control.floats",
                      "{} is there and {} is not; both or neither were expected",
                      fitted ? "[instruments.floats]" : "[control.floats]",
                      fitted ? "[control.floats]" : "[instruments.floats]");
    if (!fitted) return;
    if (station.duty == Duty::hold_pressure)
        return refuse(
            source, root, "instruments.floats",
            "floats tell a level, and the duty \"hold_pressure\" goes by a pressure: they could neither "
            "start nor stop a pump; none were expected here");
    const core::Settings::Marks& marks = settings.marks;
    const double high_m = station.instruments.high_float_m;
    const double low_m = station.instruments.low_float_m;
    const double overflow_m = station.well.overflow_level_m;
    if (station.duty == Duty::empty_well) {
        if (!(high_m > marks.stage_up_m && high_m < overflow_m))
            refuse(source, root, "instruments.floats.high",
                   "the high float is at {:g} m; a level above stage_up at {:g} m and below the overflow at "
                   "{:g} m was expected",
                   high_m, marks.stage_up_m, overflow_m);
        if (!(low_m < marks.stop_m))
            refuse(source, root, "instruments.floats.low",
                   "the low float is at {:g} m; a level below stop at {:g} m was expected", low_m,
                   marks.stop_m);
        return;
    }
    // Filling: the low float starts pumps, the high float stops them.
    const double floor_m = station.well.storage.front().level_m;
    if (!(low_m < marks.stage_up_m && low_m > floor_m))
        refuse(
            source, root, "instruments.floats.low",
            "the low float is at {:g} m; a level below stage_up at {:g} m and above the floor at {:g} m was "
            "expected, as it starts the pumps that fill",
            low_m, marks.stage_up_m, floor_m);
    if (!(high_m > marks.stop_m && high_m < overflow_m))
        refuse(
            source, root, "instruments.floats.high",
            "the high float is at {:g} m; a level above stop at {:g} m and below the overflow at {:g} m was "
            "expected, as it stops the pumps that fill",
            high_m, marks.stop_m, overflow_m);
}

/// The limit of the discharge pressure must be measured, and lie where the duty leaves room for it.
void check_discharge_pressure(Source& source, const Node& root, const Station& station,
                              const core::Settings& settings) {
    const double limit_m = settings.permissives.discharge_pressure_max_m;
    if (!(limit_m > 0)) return;
    const Instruments& instruments = station.instruments;
    if (instruments.pressure_at_4ma_m == instruments.pressure_at_20ma_m)
        return refuse(source, root, "control.discharge_pressure",
                      "the discharge pressure is limited and not measured; [instruments.header_pressure] was "
                      "expected");
    if (!(limit_m > instruments.pressure_at_4ma_m && limit_m < instruments.pressure_at_20ma_m))
        return refuse(
            source, root, "control.discharge_pressure.max",
            "max is {:g} m; a head within the range of the transmitter, {:g} to {:g} m, was expected",
            limit_m, instruments.pressure_at_4ma_m, instruments.pressure_at_20ma_m);
    if (station.duty == Duty::hold_pressure && !(limit_m > settings.marks.setpoint_m))
        refuse(source, root, "control.discharge_pressure.max",
               "max is {:g} m and the pressure is held at {:g} m; more than that was expected", limit_m,
               settings.marks.setpoint_m);
}

/// A motor is warm before it is cold: fewer starts, and less rest than cooling takes.
void check_succession(Source& source, const Node& root, const core::Settings& settings) {
    const core::Settings::Succession& rule = settings.succession;
    if (rule.cold_starts_max == 0) return;
    if (rule.warm_starts_max > rule.cold_starts_max)
        refuse(source, root, "control.succession.warm_starts",
               "warm_starts is {} and cold_starts {}; no more from warm than from cold was expected",
               rule.warm_starts_max, rule.cold_starts_max);
    if (rule.rest_ms > rule.cool_ms)
        refuse(source, root, "control.succession.rest",
               "rest is {:g} min and a motor is cold after {:g} min; no more than that was expected",
               static_cast<double>(rule.rest_ms) / ms_per_min,
               static_cast<double>(rule.cool_ms) / ms_per_min);
}

void check_times(Source& source, const Node& root, const Station& station, const core::Settings& settings) {
    const double scan_s = settings.scan_ms / ms_per_s;
    const auto longer = [&](std::string_view path, std::int32_t limit_ms, double needed_s,
                            std::string_view what) {
        if (limit_ms < std::round(needed_s * ms_per_s))
            refuse(source, root, path, "{:g} s is too short; at least {:.4g} s, as long as {}, was expected",
                   limit_ms / ms_per_s, needed_s, what);
    };
    // A contact that moves within one scan is advised in it and confirmed in the next but one at the latest.
    const double scans_s = 2 * scan_s;
    double closing_s = 0, opening_s = 0;
    for (const Contactor& contactor : {station.drive_side, station.line_side, station.drive_output}) {
        closing_s = std::max(closing_s, contactor.closing_s + contactor.spread_s);
        opening_s = std::max(opening_s, contactor.opening_s + contactor.spread_s);
    }
    longer("control.step.close", settings.step.close_ms, closing_s + scans_s,
           "a contactor takes to close and two scans to see it");
    longer("control.step.open", settings.step.open_ms, opening_s + scans_s,
           "a contactor takes to open and two scans to see it");
    longer("control.step.overlap", settings.step.overlap_ms, opening_s + scans_s,
           "a contactor takes to open and two scans to see it");
    longer("control.step.synchronise", settings.step.synchronise_ms,
           settings.step.synchronise_expected_ms / ms_per_s,
           "synchronise_expected says that synchronising takes");
    longer("control.signal.stale", settings.signal.stale_ms, scans_s, "two scans take");
    longer("control.sync.age_max", settings.sync.age_max_ms, scan_s, "a scan takes");

    const core::Settings::Drive& drive = settings.drive;
    if (drive.speed_max_hz > station.drive.frequency_max_hz)
        refuse(source, root, "control.speed.max",
               "max is {:g} Hz and the drive reaches {:g} Hz; no more than that was expected",
               drive.speed_max_hz, station.drive.frequency_max_hz);
    if (!(drive.speed_min_hz < drive.speed_max_hz))
        refuse(source, root, "control.speed.min", "min is {:g} Hz; less than max, {:g} Hz, was expected",
               drive.speed_min_hz, drive.speed_max_hz);
}

/// The pumps against main and static head, by the equipment's own figures.
bool check_lift(Source& source, const Node& root, const Station& station, const core::Settings& settings) {
    const double ratio =
        settings.drive.speed_max_hz / station.supply.frequency_hz * line_speed_ratio(station);
    const double shut_off_m = pump_head_m(station.pump, 0, ratio);
    const double static_m = static_head_m(station, settings.marks.stop_m);
    if (!(shut_off_m > static_m)) {
        refuse(source, root, "pump.curve",
               "the pump never overcomes the static head: {:.4g} m at no flow and full speed against {:.4g} "
               "m at the stop level; "
               "more than that was expected",
               shut_off_m, static_m);
        return false;
    }
    if (station.duty == Duty::hold_pressure) return true;
    const double last_m3s = station.pump.curve.back().flow_m3s;
    const double setpoint_m = static_head_m(station, settings.marks.setpoint_m);
    // The lowest useful speed is where the pump's shut-off head equals the static head; between that and full
    // speed the curve must cross the main's somewhere before its end.
    constexpr int speeds = 50;
    const double lowest = std::sqrt(std::max(setpoint_m, 0.0) / pump_head_m(station.pump, 0, 1));
    for (int i = 1; i <= speeds; ++i) {
        const double speed = lowest + (ratio - lowest) * i / speeds;
        const double flow_m3s = station_flow_m3s(station, 1, speed, setpoint_m);
        if (flow_m3s > 0 && flow_m3s <= last_m3s * speed) return true;
    }
    refuse(source, root, "pump.curve",
           "one pump's curve meets the main at no speed: it ends at {:.4g} m3/s and {:.4g} m, where the main "
           "takes only {:.4g} m; "
           "a curve that goes on to where they meet was expected",
           last_m3s, station.pump.curve.back().head_m,
           setpoint_m + main_loss_m(station.main, station.fluid, last_m3s));
    return false;
}

/// The band between k pumps at full speed, and k at full speed with one more at its minimum flow.
struct Band {
    std::uint8_t line_pumps = 0;
    double lower_m3s = 0, upper_m3s = 0;
    double gap_m3s() const { return upper_m3s - lower_m3s; }
};

std::optional<Band> widest_band(const core::Settings& settings, const core::FlowTable& flows) {
    std::optional<Band> widest;
    for (std::uint8_t k = 1; k < settings.pump_count; ++k) {
        const double setpoint_m = settings.marks.setpoint_m;
        const Band band{
            k, core::solve_combination(settings, {k, 0, setpoint_m}).total_m3s,
            core::solve_combination(settings, {k, flows.minimum_flow_hz(k, setpoint_m), setpoint_m})
                .total_m3s};
        if (!widest || band.gap_m3s() > widest->gap_m3s()) widest = band;
    }
    return widest;
}

void check_minimum_flow(Source& source, const Node& root, const core::Settings& settings,
                        const core::FlowTable& flows) {
    constexpr double slack_hz = 0.01;
    for (std::uint8_t k = 0; k < settings.pump_count; ++k) {
        if (flows.minimum_flow_hz(k, settings.marks.setpoint_m) < settings.drive.speed_max_hz - slack_hz)
            continue;
        return refuse(source, root, "pump.minimum_flow",
                      "with {} pumps on the line a further pump does not reach its minimum flow of {:.4g} "
                      "m3/s at {:g} Hz; "
                      "pumps and main in which it does were expected",
                      k, settings.minimum_flow_m3s, settings.drive.speed_max_hz);
    }
}

/// Steady inflow inside the band makes the station go to and fro between the two combinations: the store
/// falls with the surplus of one and rises with the shortage of the other. The cycle takes V/x + V/(dQ - x),
/// least at x = dQ/2: T = 4 V/dQ, the rule by which active wet-well volumes are sized, V = t q / 4 (UFC
/// 3-240-04A, para 7). A cycle has two transfers, a hand-over and a take-back.
void check_transfers(Source& source, const Node& root, const Station& station, const core::Settings& settings,
                     const Band& band) {
    if (station.duty == Duty::hold_pressure) return;  // delays, not volume, space a booster set's transfers
    const core::Settings::Marks& marks = settings.marks;
    const double volume_m3 = volume_between_m3(station, marks.stage_down_m, marks.stage_up_m);
    const double cycle_s = worst_cycle_time_s(volume_m3, band.gap_m3s());
    const int limit = settings.permissives.transfers_per_hour_max;
    constexpr int transfers_per_cycle = 2;
    if (transfers_per_cycle * s_per_hour / cycle_s <= limit) return;
    const double needed_m3 = active_volume_m3(transfers_per_cycle * s_per_hour / limit, band.gap_m3s());
    const double area_m2 = volume_m3 / std::abs(marks.stage_up_m - marks.stage_down_m);
    refuse(source, root, "control.permissives.transfers_per_hour_max",
           "{} transfers an hour cannot be kept: between {} at full speed and one more at its minimum flow "
           "lie {:.3g} m3/s, and the {:.3g} m3 from stage_down "
           "to stage_up ride them for only {:.2g} min a cycle; {:.0f} m3 ({:.2f} m between the marks) were "
           "expected, or a limit of {:.0f}",
           limit, band.line_pumps == 1 ? "one pump" : fmt::format("{} pumps", band.line_pumps),
           band.gap_m3s(), volume_m3, cycle_s / 60, rounded_up(needed_m3, 1),
           rounded_up(needed_m3 / area_m2, 100), std::ceil(transfers_per_cycle * s_per_hour / cycle_s));
}

/// How often each pump starts in an hour at an inflow of half one pump's minimum flow, where the first pump
/// comes and goes; all pumps take turns.
double needed_starts_per_hour(const Station& station, const core::Settings& settings) {
    const double volume_m3 = volume_between_m3(station, settings.marks.stop_m, settings.marks.start_m);
    return s_per_hour / worst_cycle_time_s(volume_m3, settings.minimum_flow_m3s) / settings.pump_count;
}

void check_starts(Source& source, const Node& root, const Station& station, const core::Settings& settings) {
    if (station.duty == Duty::hold_pressure) return;
    const double volume_m3 = volume_between_m3(station, settings.marks.stop_m, settings.marks.start_m);
    const double starts_per_hour = needed_starts_per_hour(station, settings);
    if (starts_per_hour <= settings.permissives.starts_per_hour_max) return;
    const double needed_m3 = settings.minimum_flow_m3s * s_per_hour /
                             (4.0 * settings.pump_count * settings.permissives.starts_per_hour_max);
    const double limit = std::ceil(starts_per_hour);
    const bool rested = limit * settings.permissives.rest_min_ms <= s_per_hour * ms_per_s;
    refuse(source, root, "control.permissives.starts_per_hour_max",
           "{} starts an hour cannot be kept: the {:.3g} m3 from stop to start make {:.3g} starts an hour "
           "for each of {} pumps at an inflow of half the minimum "
           "flow; {:g} m3 were expected, or a limit of {:.0f}{}",
           settings.permissives.starts_per_hour_max, volume_m3, starts_per_hour, settings.pump_count,
           rounded_up(needed_m3, 100), limit,
           rested ? "" : fmt::format(" beside a rest_min of {}", time_down(s_per_hour / limit)));
}

/// A pump that must rest for so long cannot start so often.
void check_rest(Source& source, const Node& root, const Station& station, const core::Settings& settings) {
    const core::Settings::Permissives& rules = settings.permissives;
    const double rest_s = rules.rest_min_ms / ms_per_s;
    if (rest_s * rules.starts_per_hour_max <= s_per_hour) return;
    const double starts = std::floor(s_per_hour / rest_s);
    const bool enough = starts >= 1 && (station.duty == Duty::hold_pressure ||
                                        needed_starts_per_hour(station, settings) <= starts);
    refuse(
        source, root, "control.permissives.rest_min",
        "rest_min is {:g} min and starts_per_hour_max {}: {} rests take longer than an hour; at most {} was "
        "expected{}",
        rest_s / s_per_min, rules.starts_per_hour_max, rules.starts_per_hour_max,
        time_down(s_per_hour / rules.starts_per_hour_max),
        enough ? fmt::format(", or a starts_per_hour_max of {:.0f}", starts) : "");
}

/// With nothing flowing in, a pump that moves no more than its minimum flow lasts longest; where it meets the
/// cut-off it is stopped, whatever its minimum run says.
void check_run(Source& source, const Node& root, const Station& station, const core::Settings& settings) {
    if (station.duty == Duty::hold_pressure) return;
    const core::Settings::Marks& marks = settings.marks;
    const double volume_m3 = volume_between_m3(station, marks.low_cutoff_m, marks.start_m);
    const double longest_s = volume_m3 / settings.minimum_flow_m3s;
    const double run_s = settings.permissives.run_min_ms / ms_per_s;
    if (run_s <= longest_s) return;
    const bool direct = settings.action == core::Action::direct;
    refuse(
        source, root, "control.permissives.run_min",
        "run_min is {:g} min and cannot be kept: with no {} a pump at its minimum flow {} the {:.3g} m3 from "
        "start to {} in {:.3g} min, and is stopped there; at most {} was expected",
        run_s / s_per_min, direct ? "inflow" : "demand", direct ? "takes" : "fills", volume_m3,
        direct ? "low_cutoff" : "high_cutoff", longest_s / s_per_min, time_down(longest_s));
}

/// The slowest ramp with which the look-ahead ends before the store is full, Hz/s; nothing where none is fast
/// enough. The transfer takes its time whatever the ramp.
std::optional<double> ramp_for(core::Settings settings, double lowest_hz, double next_hz, double fill_s) {
    constexpr int per_hz_s = 10, fastest_hz_s = 30;
    for (int tenths = 1; tenths <= fastest_hz_s * per_hz_s; ++tenths) {
        settings.drive.ramp_up_hz_s = static_cast<double>(tenths) / per_hz_s;
        const double bring_up_s =
            static_cast<double>(core::bring_up_ms(settings, lowest_hz, next_hz)) / ms_per_s;
        if (settings.staging.forecast_margin * bring_up_s < fill_s) return settings.drive.ramp_up_hz_s;
    }
    return std::nullopt;
}

/// A look-ahead shorter than a pump takes to come on sees the water too late.
constexpr double margin_least = 1, margin_usual = 1.2;

void refuse_margin(Source& source, const Node& root, double margin, std::optional<double> suggested) {
    refuse(source, root, "control.staging.forecast_margin",
           "forecast_margin is {:g}, and so the look-ahead shorter than a pump takes to come on; at least "
           "{:g} was "
           "expected{}",
           margin, margin_least, suggested ? fmt::format(", such as {:g}", *suggested) : "");
}

/// What does for a look-ahead that is too long, most telling first; each by itself.
std::string shorter_look_ahead(const core::Settings& settings, double lowest_hz, double next_hz,
                               double fill_s, double margin_most) {
    if (margin_most > margin_least) return fmt::format("a margin below {:g} was expected", margin_most);
    const auto ramp_hz_s = ramp_for(settings, lowest_hz, next_hz, fill_s);
    return ramp_hz_s
               ? fmt::format("a drive with a ramp_up of {:g} Hz/s was expected, or no forecast", *ramp_hz_s)
               : "no forecast was expected";
}

/// Looking ahead helps only while the store lasts longer than bringing up a pump takes.
void check_forecast(Source& source, const Node& root, const Station& station, core::Settings settings,
                    const core::FlowTable& flows) {
    const double margin_given = settings.staging.forecast_margin;
    const bool too_small = margin_given < margin_least;
    if (!settings.staging.forecast || station.duty == Duty::hold_pressure) {
        if (too_small) refuse_margin(source, root, margin_given, margin_usual);
        return;
    }
    const double margin = std::max(margin_given, margin_least);
    settings.staging.forecast_margin = margin;
    const core::Settings::Marks& marks = settings.marks;
    const double lowest_hz = flows.minimum_flow_hz(0, marks.setpoint_m),
                 next_hz = flows.minimum_flow_hz(1, marks.setpoint_m);
    const double bring_up_s = static_cast<double>(core::bring_up_ms(settings, lowest_hz, next_hz)) / ms_per_s;
    const double one_m3s = core::solve_combination(settings, {1, 0, marks.setpoint_m}).total_m3s;
    const double volume_m3 = volume_between_m3(station, marks.stage_down_m, marks.high_alarm_m);
    const double fill_s = volume_m3 / one_m3s;
    const double margin_most = rounded_down(fill_s / bring_up_s, 100);
    const double look_ahead_s = margin * bring_up_s;
    if (too_small)
        refuse_margin(source, root, margin_given,
                      margin_most > margin_usual   ? std::optional(margin_usual)
                      : margin_most > margin_least ? std::optional(margin_least)
                                                   : std::nullopt);
    if (look_ahead_s < fill_s) return;
    refuse(source, root, "control.staging.forecast_margin",
           "the look-ahead of {:.3g} times {:.0f} s is longer than the fill time: one pump's flow too much "
           "fills the {:.3g} m3 from stage_down to the alarm in {:.0f} s; {}, or {:.0f} m3 between them",
           margin, bring_up_s, volume_m3, fill_s,
           shorter_look_ahead(settings, lowest_hz, next_hz, fill_s, margin_most),
           rounded_up(look_ahead_s * one_m3s, 1));
}

/// Marks of the duty that must stand one above the other; for filling and pressure, one below the other.
struct Order {
    Mark lower, upper;
    bool or_equal = false;
};

/// Where one mark may stand, with its two neighbours; heights in the sense of the duty.
struct Room {
    const Mark* below = nullptr;
    const Mark* above = nullptr;
};

/// Finds the one mark whose moving would put everything in order, and says where it could stand.
class MarkOrder {
  public:
    MarkOrder(std::vector<Order> orders, bool direct, double margin_m)
        : orders_(std::move(orders)), sign_(direct ? 1 : -1), margin_m_(margin_m) {}

    std::vector<const Order*> broken() const {
        std::vector<const Order*> found;
        for (const Order& one : orders_) {
            const double difference = height(one.upper) - height(one.lower);
            if (!(one.or_equal ? difference >= 0 : difference > 0)) found.push_back(&one);
        }
        return found;
    }
    /// The mark that every broken order has in common and that has room; the upper of the first before the
    /// lower.
    const Mark* culprit(const std::vector<const Order*>& found) const {
        for (const Mark* candidate : {&found.front()->upper, &found.front()->lower}) {
            const bool in_all = std::all_of(found.begin(), found.end(), [&](const Order* one) {
                return one->lower.key == candidate->key || one->upper.key == candidate->key;
            });
            if (in_all && has_room(room_of(*candidate))) return candidate;
        }
        return nullptr;
    }
    Room room_of(const Mark& mark) const {
        Room room;
        for (const Order& one : orders_) {
            if (one.upper.key == mark.key && (!room.below || height(one.lower) > height(*room.below)))
                room.below = &one.lower;
            if (one.lower.key == mark.key && (!room.above || height(one.upper) < height(*room.above)))
                room.above = &one.upper;
        }
        return room;
    }
    /// The middle of the room, or a margin away from its only end, to the centimetre.
    double suggested_m(const Room& room) const {
        const double wanted_m = room.below && room.above ? (room.below->value_m + room.above->value_m) / 2
                                : room.below             ? room.below->value_m + sign_ * margin_m_
                                                         : room.above->value_m - sign_ * margin_m_;
        constexpr double per_m = 100;
        const double rounded_m = std::round(wanted_m * per_m) / per_m;
        const bool inside = (!room.below || sign_ * rounded_m > height(*room.below)) &&
                            (!room.above || sign_ * rounded_m < height(*room.above));
        return inside ? rounded_m : wanted_m;
    }

  private:
    double height(const Mark& mark) const { return sign_ * mark.value_m; }
    bool has_room(const Room& room) const {
        return !room.below || !room.above || height(*room.below) < height(*room.above);
    }

    std::vector<Order> orders_;
    double sign_, margin_m_;
};

void check_order(Source& source, const Node& table, const core::Settings& settings) {
    const core::Settings::Marks& marks = settings.marks;
    const bool direct = settings.action == core::Action::direct;
    const Mark cutoff{direct ? "low_cutoff" : "high_cutoff", marks.low_cutoff_m}, stop{"stop", marks.stop_m},
        start{"start", marks.start_m}, stage_down{"stage_down", marks.stage_down_m},
        setpoint{"setpoint", marks.setpoint_m}, stage_up{"stage_up", marks.stage_up_m},
        alarm{direct ? "high_alarm" : "low_alarm", marks.high_alarm_m};
    const double margin_m = 2 * marks.deadband_m;
    const MarkOrder order({{cutoff, stop},
                           {stop, stage_down},
                           {stop, start},
                           {stage_down, setpoint},
                           {setpoint, stage_up},
                           {start, stage_up, true},
                           {stage_up, alarm}},
                          direct, margin_m);
    const std::vector<const Order*> broken = order.broken();
    if (broken.empty()) return;
    const std::string_view over = direct ? "above" : "below";
    const std::string_view under = direct ? "below" : "above";
    if (const Mark* mark = order.culprit(broken)) {
        const Room room = order.room_of(*mark);
        std::string where;
        if (room.below) where += fmt::format("{} {} at {:g} m", over, room.below->key, room.below->value_m);
        if (room.above)
            where += fmt::format("{}{} {} at {:g} m", where.empty() ? "" : " and ", under, room.above->key,
                                 room.above->value_m);
        return refuse(source, table, mark->key, "{} is {:g} m; {} was expected, such as {:g} m", mark->key,
                      mark->value_m, where, order.suggested_m(room));
    }
    for (const Order* one : broken)
        refuse(source, table, one->upper.key, "{} is {:g} m; {} {} at {:g} m{} was expected", one->upper.key,
               one->upper.value_m, over, one->lower.key, one->lower.value_m,
               one->or_equal ? ", or the same," : "");
}

}  // namespace

void check_marks(Source& source, const Node& table, const core::Settings& settings) {
    const core::Settings::Marks& marks = settings.marks;
    check_order(source, table, settings);
    const double nearest_m = std::min(std::abs(marks.stage_up_m - marks.setpoint_m),
                                      std::abs(marks.setpoint_m - marks.stage_down_m));
    if (source.errors.empty() && !(marks.deadband_m < nearest_m))
        refuse(source, table, "deadband",
               "deadband is {:g} m; less than the {:g} m from the setpoint to the nearer of stage_up and "
               "stage_down was expected",
               marks.deadband_m, nearest_m);
}

void check_station(Source& source, const Node& document, const Station& station,
                   const core::Settings& settings) {
    check_supply(source, document, station);
    check_ranges(source, document, station, settings);
    check_floats(source, document, station, settings);
    check_discharge_pressure(source, document, station, settings);
    check_succession(source, document, settings);
    check_times(source, document, station, settings);
}

void check_service(Source& source, const Node& document, const Station& station,
                   const core::Settings& settings) {
    if (!check_lift(source, document, station, settings)) return;
    const core::FlowTable flows(settings);
    check_minimum_flow(source, document, settings, flows);
    if (!source.errors.empty()) return;
    if (const auto band = widest_band(settings, flows))
        check_transfers(source, document, station, settings, *band);
    check_starts(source, document, station, settings);
    check_rest(source, document, station, settings);
    check_run(source, document, station, settings);
    check_forecast(source, document, station, settings, flows);
}

}  // namespace freshet::config
