// Each part of the check is a function that appends its findings.
// One reason to change: a finding of the check.
#include "sim_plant/studies/check_findings.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "config/engineering/derive.hpp"
#include "config/engineering/energy.hpp"
#include "config/engineering/rules.hpp"
#include "config/engineering/vessel.hpp"
#include "config/hydraulics/gravity.hpp"
#include "config/hydraulics/pipe.hpp"
#include "config/hydraulics/pump_curve.hpp"
#include "controller/core/climb.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/need.hpp"
#include "sim_plant/physics/nameplate.hpp"
#include "sim_plant/physics/surge.hpp"
#include "sim_plant/studies/check_survey.hpp"
#include "sim_plant/weather/peaking.hpp"

namespace freshet::studies {
namespace {

using config::Duty;

constexpr double hour_s = 3600, watts_per_kw = 1000;

std::string pumps(std::size_t count) {
    if (count == 0) return "no pump";
    return count == 1 ? "1 pump" : fmt::format("{} pumps", count);
}

Survey survey(const StationFile& file) {
    Survey s{file,
             file.station,
             file.settings,
             plant::with_circuit(file.station.motor),
             file.settings.marks.setpoint_m,
             config::line_speed_ratio(file.station),
             core::FlowTable(file.settings),
             {},
             {}};
    const config::PumpCurve curve(s.station.pump, s.station.fluid);
    const double suction_m = s.station.duty == Duty::empty_well ? s.setpoint_m : s.station.suction_head_m;
    for (std::uint8_t count = 1; count <= s.station.pump_count; ++count) {
        const core::Delivery delivery = core::solve_combination(s.settings, {count, 0, s.setpoint_m});
        const double ratio = s.line_ratio;
        const double torque_nm = ratio * ratio * curve.torque_nm(delivery.line_pump_m3s / ratio);
        s.running.push_back({delivery.total_m3s, delivery.lift_m + suction_m, delivery.line_pump_m3s,
                             torque_nm * ratio * curve.rated_speed_rad_s()});
    }
    return s;
}

/// A peak that is too low for the number of people shows a mistake in a flow, or a catchment without homes.
void peaking(Survey& s, const DesignFlows& flows) {
    constexpr double each_m3s = 0.378541 / 86400;  // 100 US gallons per head and day
    const double thousands = flows.average_m3s / each_m3s / 1000;
    const double usual = plant::peaking_factor(thousands);
    const double given = flows.peak_m3s / flows.average_m3s;
    s.add(
        given < usual ? Severity::warning : Severity::info, "peaking",
        fmt::format("the peak is {:.1f} times the average; for an average of {:.0f} thousand people, "
                    "{:.1f} times is usual in dry weather",
                    given, thousands, usual),
        given, "1", "(18 + sqrt P) / (4 + sqrt P), P in thousands, at 100 gallons per head and day",
        "Recommended Standards for Wastewater Facilities (Great Lakes - Upper Mississippi River Board), the "
        "100 gallons from memory");
}

void capacity(Survey& s, const std::optional<DesignFlows>& flows) {
    for (std::size_t i = 0; i < s.running.size(); ++i)
        s.add(Severity::info, "capacity",
              fmt::format("{} at line speed: {:.0f} L/s in all, {:.0f} L/s each, header head {:.1f} m",
                          pumps(i + 1), s.running[i].total_flow_m3s * litres,
                          s.running[i].each_flow_m3s * litres, s.running[i].header_head_m),
              s.running[i].total_flow_m3s, "m3/s");
    if (!flows) return;
    const double needed_m3s = config::required_firm_capacity_m3s(flows->average_m3s, flows->peak_m3s);
    const bool firm = s.firm().total_flow_m3s >= needed_m3s, total = s.all().total_flow_m3s >= needed_m3s;
    s.add(
        firm    ? Severity::info
        : total ? Severity::warning
                : Severity::error,
        "firm_capacity",
        fmt::format("firm capacity with one pump out of service is {:.0f} L/s, and all pumps deliver {:.0f} "
                    "L/s; for {} the firm capacity should be {:.0f} L/s (peak {:.0f}, average {:.0f})",
                    s.firm().total_flow_m3s * litres, s.all().total_flow_m3s * litres, flows->from,
                    needed_m3s * litres, flows->peak_m3s * litres, flows->average_m3s * litres),
        s.firm().total_flow_m3s, "m3/s",
        "the greater of the maximum flow and 2.5 times the average, with any pump out of service",
        "9VAC25-790-380 A.2 (Virginia); MIL-HDBK-1005/9A 2.5.3.2");
    if (s.station.duty != Duty::empty_well) return;
    peaking(s, *flows);
    const double volume_m3 =
        config::volume_between_m3(s.station, s.settings.marks.stop_m, s.settings.marks.start_m);
    const double detention_s = volume_m3 / flows->average_m3s;
    constexpr double detention_most_s = 600;
    s.add(detention_s <= detention_most_s ? Severity::info : Severity::warning, "detention",
          fmt::format("the average flow fills the {:.0f} m3 from stop to start in {:.1f} min", volume_m3,
                      detention_s / 60),
          detention_s, "s", "at most 10 min between pump-on and pump-off", "N.J.A.C. 7:14A-23.12(a)4");
}

void operating_range(Survey& s) {
    const config::PumpCurve curve(s.station.pump, s.station.fluid);
    const double best_m3s = curve.best_flow_m3s() * s.line_ratio,
                 last_m3s = curve.largest_flow_m3s() * s.line_ratio;
    constexpr double preferred_least = 0.7, preferred_most = 1.2;
    for (std::size_t i = 0; i < s.running.size(); ++i) {
        const double each_m3s = s.running[i].each_flow_m3s, of_best = each_m3s / best_m3s;
        if (each_m3s > last_m3s)
            s.add(Severity::error, "run_out",
                  fmt::format("{} at line speed: each pump delivers {:.0f} L/s, which is past the end of its "
                              "curve at {:.0f} L/s",
                              pumps(i + 1), each_m3s * litres, last_m3s * litres),
                  each_m3s, "m3/s", "operation on the curve", common_practice);
        else if (of_best < preferred_least || of_best > preferred_most)
            s.add(Severity::warning, "operating_range",
                  fmt::format("{} at line speed: each pump delivers {:.0f} % of its flow at best efficiency",
                              pumps(i + 1), of_best * percent),
                  of_best, "1", "preferred operating region 70 to 120 %", "ANSI/HI 9.6.3 (from memory)");
    }
    const double minimum_of_best = s.settings.minimum_flow_m3s / best_m3s;
    s.add(minimum_of_best >= config::minimum_flow_of_best ? Severity::info : Severity::warning,
          "minimum_flow",
          fmt::format("minimum continuous flow {:.0f} L/s is {:.0f} % of the flow at best efficiency",
                      s.settings.minimum_flow_m3s * litres, minimum_of_best * percent),
          minimum_of_best, "1", "about 25 % for small pumps; the maker's figure has precedence",
          "UFC 3-230-13A (TM 5-813-9) para 4-1");
}

void motor_load(Survey& s) {
    double most_w = 0;
    std::size_t most = 0;
    for (std::size_t i = 0; i < s.running.size(); ++i)
        if (s.running[i].each_shaft_power_w > most_w) {
            most_w = s.running[i].each_shaft_power_w;
            most = i + 1;
        }
    const double load = most_w / s.motor.nameplate.power_w;
    constexpr double full = 1, nearly_full = 0.97;
    s.add(load > full          ? Severity::error
          : load > nearly_full ? Severity::warning
                               : Severity::info,
          "motor_load",
          fmt::format("the heaviest load on a motor is {:.0f} kW with {}, {:.0f} % of its rating",
                      most_w / watts_per_kw, pumps(most), load * percent),
          load, "1", "no combination above the nameplate", common_practice);
}

void suction(Survey& s) {
    const config::PumpCurve curve(s.station.pump, s.station.fluid);
    const double surface_m =
        s.station.duty == Duty::empty_well ? s.settings.marks.stop_m : s.station.suction_head_m;
    const double available_m =
        (config::atmosphere_pa - s.station.fluid.vapour_pressure_pa) / curve.specific_weight_nm3() +
        surface_m - s.station.well.suction_level_m;
    const double ratio = s.line_ratio;
    const double required_m = curve.npshr_m(s.running.front().each_flow_m3s / ratio) * ratio * ratio;
    const double margin_m = available_m - required_m;
    constexpr double margin_least_m = 1;
    s.add(margin_m < 0                ? Severity::error
          : margin_m < margin_least_m ? Severity::warning
                                      : Severity::info,
          "npsh",
          fmt::format("one pump alone, at its greatest flow and the lowest level, has {:.1f} m of NPSH and "
                      "requires {:.1f} m",
                      available_m, required_m),
          margin_m, "m", "a margin of 1 m or more", common_practice);
    if (s.station.duty == Duty::empty_well && s.settings.marks.low_cutoff_m <= s.station.well.vortex_level_m)
        s.add(
            Severity::error, "vortex",
            fmt::format(
                "the low cut-off at {:.2f} m does not keep the level above {:.2f} m, where a pump draws air",
                s.settings.marks.low_cutoff_m, s.station.well.vortex_level_m),
            s.settings.marks.low_cutoff_m, "m", "cut-off above the vortex level", common_practice);
}

void main_and_surge(Survey& s) {
    if (s.station.duty == Duty::hold_pressure) return;  // the demand is taken at the header
    const double bore_m = config::narrowest_diameter_m(s.station.main);
    const double one_ms = config::velocity_ms(s.running.front().total_flow_m3s, bore_m),
                 all_ms = config::velocity_ms(s.all().total_flow_m3s, bore_m);
    // Clean water carries no solids that could settle.
    const bool settles = s.station.duty == Duty::empty_well && one_ms < config::main_velocity_least_ms;
    s.add(
        settles || all_ms > config::main_velocity_most_ms ? Severity::warning : Severity::info,
        "main_velocity",
        fmt::format("velocity in the main (narrowest bore) is {:.2f} m/s with one pump, {:.2f} m/s with all",
                    one_ms, all_ms),
        all_ms, "m/s", "0.6 m/s with one pump, at most 3 m/s",
        "UFC 3-240-06A (EI 11C201) para 7-1; Wis. Adm. Code NR 110.14(3)(j)1");
    const double surge_m = plant::trip_surge_head_m(s.station.main, s.all().total_flow_m3s),
                 period_s = plant::critical_period_s(s.station.main);
    const double lift_m = s.all().header_head_m - s.setpoint_m;
    const bool grave = surge_m > lift_m;
    s.add(grave ? Severity::warning : Severity::info, "surge",
          fmt::format("a trip of all pumps may raise or lower the head by {:.0f} m if the flow stops within "
                      "{:.1f} s (working head {:.0f} m){}",
                      surge_m, period_s, s.all().header_head_m,
                      grave && lift_m > 0
                          ? fmt::format("; an even stop over {:.0f} s keeps the change within the "
                                        "working lift of {:.0f} m",
                                        plant::even_stop_s(surge_m, lift_m, period_s), lift_m)
                          : ""),
          surge_m, "m",
          grave ? "a head change above the working lift can part the column; a specialist must make a "
                  "transient study"
                : "",
          "Joukowsky: a dv / g");
}

void combinations(Survey& s) {
    double widest_m3s = 0;
    for (std::uint8_t k = 0; k < s.settings.pump_count; ++k) {
        const double hz = s.flows.minimum_flow_hz(k, s.setpoint_m);
        const double below_m3s = core::solve_combination(s.settings, {k, 0, s.setpoint_m}).total_m3s,
                     above_m3s = core::solve_combination(s.settings, {k, hz, s.setpoint_m}).total_m3s;
        if (k > 0) widest_m3s = std::max(widest_m3s, above_m3s - below_m3s);
        s.add(Severity::info, "minimum_flow_speed",
              fmt::format("with {} on the line, a pump on the drive delivers its minimum flow at {:.1f} Hz; "
                          "no combination delivers {:.0f} to {:.0f} L/s",
                          pumps(k), hz, below_m3s * litres, above_m3s * litres),
              hz, "Hz");
    }
    if (s.station.duty == Duty::hold_pressure || widest_m3s <= 0) return;
    const double volume_m3 =
        config::volume_between_m3(s.station, s.settings.marks.stage_down_m, s.settings.marks.stage_up_m);
    const double cycle_s = config::worst_cycle_time_s(volume_m3, widest_m3s), starts = hour_s / cycle_s;
    s.add(Severity::info, "band_starts_per_hour",
          fmt::format(
              "at an inflow in the widest such band, {:.0f} L/s, the level moves through the {:.0f} m3 from "
              "stage down to stage up; the drive pump then starts at most {:.1f} times an hour, and no pump "
              "changes over",
              widest_m3s * litres, volume_m3, starts),
          starts, "1/h", "T = 4 V / dQ, one start a cycle",
          "UFC 3-240-04A (EI 11C201) para 7, V = t q / 4, applied to the difference of two combinations");
    const double start_volume_m3 =
        config::volume_between_m3(s.station, s.settings.marks.stop_m, s.settings.marks.start_m);
    const double start_cycle_s = config::worst_cycle_time_s(start_volume_m3, s.settings.minimum_flow_m3s);
    const auto shortest = config::shortest_cycle(s.motor.nameplate.power_w);
    s.add(shortest && start_cycle_s * s.settings.pump_count < shortest->least_s ? Severity::warning
                                                                                : Severity::info,
          "cycle_time",
          fmt::format("at an inflow of half the minimum flow the station starts a pump every {:.0f} min, and "
                      "each pump every {:.0f} min",
                      start_cycle_s / 60, start_cycle_s * s.settings.pump_count / 60),
          start_cycle_s, "s",
          shortest ? fmt::format("a motor of this size starts at most every {:.0f} to {:.0f} min",
                                 shortest->least_s / 60, shortest->most_s / 60)
                   : "for a motor above 185 kW, the maker's recommendation",
          "UFC 3-240-04A (EI 11C201) Table 7-1");
}

/// The marks of each pump while the drive is lost, and how often the pump then starts that cycles between
/// them. With k pumps running the next pump starts and stops, and the pumps that do not run take turns.
void fixed_speed(Survey& s) {
    if (!s.settings.line_start.allowed) {
        s.add(Severity::info, "fixed_speed",
              "without the drive no pump starts, because no line starts are allowed", 0, "1");
        return;
    }
    const bool given = s.settings.staging.lag_count > 0;
    for (std::uint8_t k = 0; k < s.settings.pump_count; ++k) {
        const core::LagMarks marks = core::fixed_speed_marks(s.settings, k);
        std::string says = fmt::format("without the drive, {} starts at {:.2f} m and stops at {:.2f} m{}",
                                       k == 0 ? "the first pump" : fmt::format("lag pump {}", k),
                                       marks.start_m, marks.stop_m,
                                       k == 0  ? ""
                                       : given ? " ([[control.staging.lag]])"
                                               : " (stage_up and stage_down)");
        if (s.station.duty == Duty::hold_pressure) {
            s.add(Severity::info, "fixed_speed", std::move(says), marks.start_m, "m");
            continue;
        }
        const double below_m3s = k == 0 ? 0 : s.running[k - 1U].total_flow_m3s;
        const double gap_m3s = s.running[k].total_flow_m3s - below_m3s;
        const double volume_m3 = config::volume_between_m3(s.station, marks.stop_m, marks.start_m);
        const double starts =
            hour_s / config::worst_cycle_time_s(volume_m3, gap_m3s) / (s.settings.pump_count - k);
        const int limit = s.settings.permissives.starts_per_hour_max;
        says += fmt::format("; at the worst inflow each pump then starts {:.1f} times an hour", starts);
        if (starts > limit)
            says += fmt::format(
                ", and {} are allowed: {:.0f} m3 between the marks would do, and the marks have "
                "{:.0f} m3",
                limit, std::ceil(volume_m3 * starts / limit), volume_m3);
        s.add(starts > limit ? Severity::warning : Severity::info, "fixed_speed", std::move(says), starts,
              "1/h", "T = 4 V / dQ, one start a cycle",
              "UFC 3-240-04A (EI 11C201) para 7, V = t q / 4, applied to the difference of two combinations");
    }
}

/// The speed of least energy with each number of line pumps, next to the minimum flow.
void least_energy(Survey& s) {
    if (s.station.duty == Duty::hold_pressure) return;
    for (std::uint8_t k = 0; k < s.settings.pump_count; ++k) {
        const auto best = config::best_draw(s.station, s.settings, k);
        if (!best) continue;
        const config::Working least = config::working(
            s.station, s.settings, {k, s.flows.minimum_flow_hz(k, s.setpoint_m), s.setpoint_m});
        s.add(Severity::info, "least_energy",
              fmt::format("with {} on the line, a pump on the drive needs the least energy for the volume "
                          "that the pump adds "
                          "at {:.1f} Hz: {:.0f} L/s in all, {:.4f} kWh/m3; at its minimum flow {:.0f} L/s in "
                          "all, {:.4f} kWh/m3",
                          pumps(k), best->speed_hz, best->drawn.flow_m3s * litres,
                          best->drawn.energy_kwh_m3(), least.flow_m3s * litres, least.energy_kwh_m3()),
              best->speed_hz, "Hz",
              s.settings.draw.wanted ? "below that flow the station fills and draws"
                                     : "water = \"fill_and_draw\" in [control.demand] would use that speed",
              "least of (P - P_k) / (Q - Q_k): energy and volume balance");
    }
}

/// Starts at a small demand, from the vessel.
void vessel(Survey& s) {
    if (s.station.duty != Duty::hold_pressure) return;
    const bool sleeps = s.settings.sleep.wanted;
    const config::SleepCycle cycle =
        sleeps
            ? config::sleep_cycle(s.station, s.settings)
            : config::vessel_cycle(s.station, s.settings, s.settings.marks.start_m, s.settings.marks.stop_m);
    const int limit = s.settings.permissives.starts_per_hour_max;
    const double run_s = s.settings.permissives.run_min_ms / ms_per_s;
    const bool poor = cycle.starts_per_hour_each > limit || cycle.shortest_charge_s < run_s;
    const double needed_m3 = std::max(cycle.vessel_m3(limit), cycle.air_m3 * run_s / cycle.shortest_charge_s);
    s.add(
        poor ? Severity::warning : Severity::info, "vessel",
        fmt::format("below the minimum flow of one pump the vessel of {:.1f} m3 supplies {:.2f} m3 from {} "
                    "to {}; each pump "
                    "then starts at most {:.1f} times an hour, and charges the vessel in {:.0f} s or more; a "
                    "vessel of {:.1f} m3 keeps starts_per_hour_max and run_min",
                    cycle.air_m3, cycle.drawn_m3, sleeps ? "boost" : "stop", sleeps ? "wake" : "start",
                    cycle.starts_per_hour_each, cycle.shortest_charge_s, needed_m3),
        cycle.starts_per_hour_each, "1/h", "T = 4 V / Q, V by p V^n = constant",
        "Boyle's law for captive air; UFC 3-240-04A (EI 11C201) para 7");
}

/// Settings that permit operation but do not agree with each other.
void limits(Survey& s) {
    const Settings::Permissives& rules = s.settings.permissives;
    const double run_s = rules.run_min_ms / ms_per_s, rest_s = rules.rest_min_ms / ms_per_s;
    const double busy_s = rules.starts_per_hour_max * (run_s + rest_s);
    if (busy_s > hour_s)
        s.add(Severity::warning, "starts_per_hour",
              fmt::format("{} starts an hour are allowed, but {:.0f} s of run_min and {:.0f} s of rest_min "
                          "permit at most {:.0f}",
                          rules.starts_per_hour_max, run_s, rest_s, std::floor(hour_s / (run_s + rest_s))),
              busy_s, "s", "starts_per_hour_max times run_min and rest_min within an hour", common_practice);
    if (s.station.duty == Duty::hold_pressure) return;
    const double last_s =
        config::volume_between_m3(s.station, s.settings.marks.stop_m, s.settings.marks.start_m) /
        s.settings.minimum_flow_m3s;
    if (run_s > last_s)
        s.add(Severity::warning, "run_min",
              fmt::format("run_min is {:.0f} s, but without inflow a pump at its minimum flow needs {:.0f} s "
                          "from start to stop; the pump would then keep running past the stop mark",
                          run_s, last_s),
              last_s, "s", "run_min within the time from start to stop at minimum flow", common_practice);
}

/// After the last pump stopped at the stop mark, the water may rise at one pump's flow. A pump that still rests at
/// the high mark starts only because the water is in danger.
void rest_in_time(Survey& s) {
    if (s.station.duty == Duty::hold_pressure) return;
    const double rest_s = s.settings.permissives.rest_min_ms / ms_per_s;
    const double lasts_s =
        config::volume_between_m3(s.station, s.settings.marks.stop_m, s.settings.marks.high_alarm_m) /
        s.running.front().total_flow_m3s;
    if (rest_s <= lasts_s) return;
    const bool empties = s.station.duty == Duty::empty_well;
    s.add(Severity::warning, "rest_min",
          fmt::format(
              "rest_min is {:.0f} s, but at the flow of one pump the store lasts {:.0f} s from stop to "
              "{}; a pump that stopped last would still rest there, and its rest would give way with an "
              "alarm; expected at most {:.0f} s",
              rest_s, lasts_s, empties ? "high_alarm" : "low_alarm", std::floor(lasts_s)),
          lasts_s, "s", "rest_min within the time from stop to the high mark at one pump's flow",
          common_practice);
}

void look_ahead(Survey& s, const std::optional<DesignFlows>& flows) {
    if (s.station.duty == Duty::hold_pressure) return;
    const double up_s =
        static_cast<double>(core::bring_up_ms(s.settings, s.flows.minimum_flow_hz(0, s.setpoint_m),
                                              s.flows.minimum_flow_hz(1, s.setpoint_m))) /
        ms_per_s;
    s.add(Severity::info, "bring_up",
          fmt::format(
              "starting another pump takes about {:.0f} s; starting all other pumps takes about {:.0f} s",
              up_s, up_s * (s.settings.pump_count - 1)),
          up_s, "s");
    if (s.station.duty != Duty::empty_well) return;
    const double rate_m3s = flows ? flows->peak_m3s : s.firm().total_flow_m3s;
    const double volume_m3 = config::volume_between_m3(s.station, s.settings.marks.high_alarm_m,
                                                       s.station.well.overflow_level_m),
                 left_s = volume_m3 / rate_m3s;
    s.add(left_s < up_s ? Severity::warning : Severity::info, "alarm_to_overflow",
          fmt::format("without pumps, an inflow of {1:.0f} L/s fills the well from the high alarm to the "
                      "overflow in {0:.0f} s",
                      left_s, rate_m3s * litres),
          left_s, "s", "back-up power or pumps must run before this time is over",
          "9VAC25-790-390 A.2 (Virginia)");
}

}  // namespace

std::vector<Finding> examine(const StationFile& file, const std::optional<DesignFlows>& flows) {
    Survey s = survey(file);
    capacity(s, flows);
    operating_range(s);
    motor_load(s);
    suction(s);
    main_and_surge(s);
    combinations(s);
    fixed_speed(s);
    least_energy(s);
    vessel(s);
    limits(s);
    rest_in_time(s);
    look_ahead(s, flows);
    check_electrical(s);
    return std::move(s.findings);
}

}  // namespace freshet::studies
