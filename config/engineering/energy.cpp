// Power and energy; see the header.
// One reason to change: a loss between the supply and the water.
#include "config/engineering/energy.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "config/electrics/motor_circuit.hpp"
#include "config/engineering/derive.hpp"
#include "config/hydraulics/pump_curve.hpp"

namespace freshet::config {
namespace {

/// A pump that runs, in the pump's own terms.
struct Shaft {
    double torque_nm = 0, speed_rad_s = 0;
    double power_w() const { return torque_nm * speed_rad_s; }
};

Shaft shaft_of(const Station& station, const PumpCurve& curve, double flow_m3s, double line_ratio) {
    const double speed = line_ratio * line_speed_ratio(station);
    return {speed * speed * curve.torque_nm(flow_m3s / speed), speed * curve.rated_speed_rad_s()};
}

double motor_input_w(const Motor& motor, const Shaft& shaft, double frequency_hz) {
    const Nameplate& plate = motor.nameplate;
    const double rated_field_rad_s = synchronous_speed(plate.frequency_hz, motor.poles);
    if (motor.has_circuit) {
        const double torque_nm = shaft.torque_nm + motor.friction_loss_w / rated_field_rad_s;
        const double slip = slip_for_torque(motor.circuit, motor.poles, plate.frequency_hz, plate.voltage_v,
                                            plate.frequency_hz, torque_nm);
        const double current_a = rated_supply_point(motor, slip).current_a;
        return torque_nm * synchronous_speed(frequency_hz, motor.poles) +
               3 * motor.circuit.rs_ohm * current_a * current_a + motor.core_loss_w;
    }
    constexpr double typical_efficiency = 0.93, fixed_share = 0.35;
    const double efficiency = plate.efficiency > 0 ? plate.efficiency : typical_efficiency;
    const double losses_w = plate.power_w * (1 / efficiency - 1);
    const double given_w = motor.friction_loss_w + motor.core_loss_w;
    const double fixed_w = std::min(given_w > 0 ? given_w : fixed_share * losses_w, losses_w);
    constexpr double poles_per_pair = 2, s_per_min = 60;
    const double rated_rad_s =
        rated_field_rad_s * plate.speed_rpm / (s_per_min * plate.frequency_hz * poles_per_pair / motor.poles);
    const double torque_share = shaft.torque_nm * rated_rad_s / plate.power_w;
    return shaft.power_w() + fixed_w + (losses_w - fixed_w) * torque_share * torque_share;
}

double drive_loss_w(const Drive& drive, double output_w, double rated_w) {
    const double load = output_w / rated_w;
    const std::vector<EfficiencyPoint>& points = drive.efficiency;
    double efficiency =
        load < points.front().load_ratio ? points.front().efficiency : points.back().efficiency;
    for (std::size_t i = 1; i < points.size(); ++i) {
        const EfficiencyPoint &a = points[i - 1], &b = points[i];
        if (load < a.load_ratio || load > b.load_ratio) continue;
        efficiency = a.efficiency +
                     (b.efficiency - a.efficiency) * (load - a.load_ratio) / (b.load_ratio - a.load_ratio);
    }
    return output_w * (1 / efficiency - 1);
}

}  // namespace

double Working::energy_kwh_m3() const {
    constexpr double j_per_kwh = 3.6e6;
    return power_w / flow_m3s / j_per_kwh;
}

Working working(const Station& station, const core::Settings& settings,
                const core::Combination& combination) {
    const PumpCurve curve(station.pump, station.fluid);
    const core::Delivery delivery = core::solve_combination(settings, combination);
    Working all{delivery.total_m3s, 0};
    const double line_hz = station.supply.frequency_hz;
    if (combination.line_pumps > 0)
        all.power_w +=
            combination.line_pumps *
            motor_input_w(station.motor, shaft_of(station, curve, delivery.line_pump_m3s, 1), line_hz);
    if (combination.drive_hz > 0) {
        const double ratio = core::DriveSpeed(settings).ratio_of(combination.drive_hz);
        const Shaft shaft = shaft_of(station, curve, delivery.drive_pump_m3s, ratio);
        const double output_w = motor_input_w(station.motor, shaft, combination.drive_hz);
        all.power_w += output_w + drive_loss_w(station.drive, output_w, station.motor.nameplate.power_w);
    }
    return all;
}

std::optional<BestDraw> best_draw(const Station& station, const core::Settings& settings,
                                  std::uint8_t line_pumps) {
    const core::Settings::Marks& marks = settings.marks;
    const double middle_m = line_pumps == 0 ? 0.5 * (marks.start_m + marks.stop_m)
                                            : 0.5 * (marks.stage_up_m + marks.stage_down_m);
    const double lowest_hz = std::clamp(core::minimum_flow_speed_hz(settings, line_pumps, middle_m),
                                        settings.drive.speed_min_hz, settings.drive.speed_max_hz);
    const auto at = [&](double drive_hz) {
        return working(station, settings, {line_pumps, drive_hz, middle_m});
    };
    BestDraw best;
    best.alone = at(0);
    constexpr int steps = 100;
    double least = 0;
    for (int i = 0; i <= steps; ++i) {
        const double hz = lowest_hz + (settings.drive.speed_max_hz - lowest_hz) * i / steps;
        const Working drawn = at(hz);
        const double added_m3s = drawn.flow_m3s - best.alone.flow_m3s;
        if (!(added_m3s > 0)) continue;
        const double each = (drawn.power_w - best.alone.power_w) / added_m3s;
        if (best.speed_hz > 0 && each >= least) continue;
        least = each;
        best.speed_hz = hz;
        best.drawn = drawn;
    }
    if (!(best.speed_hz > 0)) return std::nullopt;
    return best;
}

}  // namespace freshet::config
