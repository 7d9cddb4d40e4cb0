// The electrical part of the check, with a function for each subject.
// One reason to change: an electrical finding of the check.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "config/electrics/motor_circuit.hpp"
#include "config/engineering/derive.hpp"
#include "config/engineering/rules.hpp"
#include "sim_plant/physics/nameplate.hpp"
#include "sim_plant/studies/check_survey.hpp"

namespace freshet::studies {
namespace {

constexpr double horsepower_w = 745.69987158227022;  // 550 ft lbf/s
constexpr double kgm2_per_lb_ft2 = 0.45359237 * 0.3048 * 0.3048;

void residual_voltage(Survey& s) {
    const config::Nameplate& plate = s.motor.nameplate;
    const double decay_s = config::open_circuit_time_constant(s.motor.circuit, plate.frequency_hz) *
                           std::log(1 / config::residual_voltage_ratio);
    const double wait_s = s.settings.permissives.residual_voltage_ms / ms_per_s;
    s.add(wait_s < decay_s ? Severity::error : Severity::info, "residual_voltage",
          fmt::format("the voltage of a motor without a source falls to a quarter in {:.2f} s at constant "
                      "speed; residual_voltage waits {:.2f} s",
                      decay_s, wait_s),
          decay_s, "s", "the line is connected to a coasting motor only below 25 % of its voltage",
          "residual-voltage transfer practice; time constant (xm + xlr) / (2 pi f rr), Krause, Wasynczuk and "
          "Sudhoff");
}

void line_start_dip(Survey& s) {
    const config::Nameplate& plate = s.motor.nameplate;
    const double current_a = config::rated_current_a(s.motor) * config::locked_rotor_ratio(s.motor),
                 start_va = std::numbers::sqrt3 * plate.voltage_v * current_a;
    const double dip = config::start_dip_ratio(start_va, s.station.supply.short_circuit_va);
    const bool allowed = s.settings.line_start.allowed;
    s.add(allowed && dip > s.settings.line_start.supply_dip_max_ratio ? Severity::error : Severity::info,
          "line_start_dip",
          fmt::format("a start on the line takes {:.0f} A, {:.2f} MVA (code letter {}), and dips the supply "
                      "by {:.1f} %{}",
                      current_a, start_va / 1e6,
                      config::code_letter(start_va / 1000 / (plate.power_w / horsepower_w)), dip * percent,
                      allowed ? "" : " (line starts are not allowed)"),
          dip, "1",
          fmt::format("supply_dip_max {:.0f} %", s.settings.line_start.supply_dip_max_ratio * percent),
          "S / (Ssc + S); code letters: NEMA MG 1 10.37");
}

void starts(Survey& s) {
    const double hp = s.motor.nameplate.power_w / horsepower_w;
    const bool allowed = s.settings.line_start.allowed;
    if (const auto duty = config::start_duty(hp, s.motor.poles); duty && allowed) {
        const double starts =
            config::allowed_starts_per_hour(*duty, s.station.pump.inertia_kgm2 / kgm2_per_lb_ft2);
        s.add(s.settings.permissives.starts_per_hour_max > starts ||
                      s.settings.permissives.rest_min_ms / ms_per_s < duty->rest_s
                  ? Severity::warning
                  : Severity::info,
              "starts",
              fmt::format("starts_per_hour_max is {} and rest_min is {:.0f} s, judged for starts on the line",
                          s.settings.permissives.starts_per_hour_max,
                          s.settings.permissives.rest_min_ms / ms_per_s),
              s.settings.permissives.starts_per_hour_max, "1/h",
              fmt::format(
                  "{:.0f} hp, {} poles: at most {:.1f} starts an hour with this load, and {:.0f} s of rest",
                  hp, s.motor.poles, starts, duty->rest_s),
              "NEMA MG 10 Table 2-3");
    } else if (allowed) {
        s.add(Severity::info, "starts",
              "line starts are allowed; for this size the maker's starting duty has precedence",
              s.settings.permissives.starts_per_hour_max, "1/h",
              "at least two starts in succession cold or one hot; more starts need the maker's consent",
              "NEMA MG 1 12.54.1");
    }
}

void sync_check(Survey& s) {
    const double spread_deg = s.settings.sync.slip_max_hz * 360 * s.station.line_side.spread_s;
    s.add(s.station.drive.sync_window_deg + spread_deg > s.settings.sync.angle_max_deg ? Severity::warning
                                                                                       : Severity::info,
          "sync_check",
          fmt::format("the drive reports in sync within {:.0f} deg, the spread of a contactor adds {:.1f} "
                      "deg at the greatest slip, and the sync check allows {:.0f} deg",
                      s.station.drive.sync_window_deg, spread_deg, s.settings.sync.angle_max_deg),
          s.station.drive.sync_window_deg + spread_deg, "deg",
          "the drive's window plus the spread within the window of the sync check", common_practice);
}

/// The two contactors of a motor may be closed together for the overlap limit at the longest, from the
/// command of the closing. A transfer needs the closing, the opening and two scans for the confirmation of
/// each.
void overlap(Survey& s) {
    constexpr double scans = 4;
    const core::Settings::StepLimits& step = s.settings.step;
    double closing_s = 0, opening_s = 0;
    for (const config::Contactor& contactor :
         {s.station.drive_side, s.station.line_side, s.station.drive_output}) {
        closing_s = std::max(closing_s, contactor.closing_s + contactor.spread_s);
        opening_s = std::max(opening_s, contactor.opening_s + contactor.spread_s);
    }
    const double needed_ms = ms_per_s * (closing_s + opening_s) + scans * s.settings.scan_ms;
    s.add(step.overlap_ms < std::round(needed_ms) ? Severity::warning : Severity::info, "overlap",
          fmt::format("overlap is {} ms and counts from the closing command; closing, opening and their "
                      "confirmations take up to {:.0f} ms",
                      step.overlap_ms, needed_ms),
          needed_ms, "ms", fmt::format("overlap of at least {:.0f} ms", needed_ms), common_practice);
    if (step.close_ms <= step.overlap_ms) return;
    s.add(Severity::warning, "close_limit",
          fmt::format(
              "close is {} ms, longer than overlap, {} ms; in a hand-over and a take-back the overlap ends "
              "the closing first",
              step.close_ms, step.overlap_ms),
          step.close_ms, "ms", fmt::format("close of at most {} ms", step.overlap_ms), common_practice);
}

/// A nameplate whose current is far from the table's current was misread, or belongs to an unusual machine.
void rated_current(Survey& s) {
    const config::Nameplate& plate = s.station.motor.nameplate;
    const auto table_a =
        config::table_full_load_current_a(plate.power_w / horsepower_w, plate.voltage_v, plate.frequency_hz);
    if (!table_a) return;
    const double given_a = config::rated_current_a(s.station.motor), off = given_a / *table_a - 1;
    constexpr double doubtful = 0.15;
    s.add(
        std::abs(off) > doubtful ? Severity::warning : Severity::info, "rated_current",
        fmt::format("the motor's rated current is {:.0f} A; the table has {:.0f} A for a motor of this size",
                    given_a, *table_a),
        off, "1", "within 15 % of the table", "NEC (NFPA 70) Table 430.250; the 15 %: common practice");
}

void circuit_estimate(Survey& s) {
    if (!s.station.motor.has_circuit) {
        const plant::CircuitEstimate estimate = plant::estimate_circuit(s.station.motor);
        constexpr double doubtful = 0.1, contradictory = 0.25;
        const double error = estimate.worst_error;
        s.add(error > contradictory ? Severity::error
              : error > doubtful    ? Severity::warning
                                    : Severity::info,
              "circuit_estimate",
              fmt::format(
                  "the motor's circuit is estimated from the nameplate, with a largest error of {:.1f} %",
                  error * percent),
              error, "1", "agreement within 10 %", common_practice);
    }
}

}  // namespace

void check_electrical(Survey& s) {
    residual_voltage(s);
    line_start_dip(s);
    starts(s);
    sync_check(s);
    overlap(s);
    rated_current(s);
    circuit_estimate(s);
}

}  // namespace freshet::studies
