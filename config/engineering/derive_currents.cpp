// Currents over the flow; see the header.
#include "config/engineering/derive_currents.hpp"

#include <algorithm>
#include <cmath>

#include "config/electrics/motor_circuit.hpp"
#include "config/engineering/derive.hpp"
#include "config/hydraulics/pump_curve.hpp"

namespace freshet::config {

double line_current_a(const Motor& motor, double power_w) {
    if (motor.has_circuit) {
        const double slip = power_w > 0 ? slip_for_shaft_power(motor, power_w) : 0;
        return rated_supply_point(motor, slip).current_a;
    }
    const Nameplate& plate = motor.nameplate;
    if (!(plate.power_factor > 0) || !(plate.power_w > 0)) return 0;
    const double rated_a = rated_current_a(motor);
    const double active_a = rated_a * plate.power_factor * power_w / plate.power_w;
    const double reactive_a = rated_a * std::sqrt(std::max(1 - plate.power_factor * plate.power_factor, 0.0));
    return std::hypot(active_a, reactive_a);
}

void derive_currents(core::Settings& settings, const Station& station) {
    const double ratio = line_speed_ratio(station);
    const PumpCurve curve(station.pump, station.fluid);
    const double speed_rad_s = curve.rated_speed_rad_s() * ratio;
    for (std::size_t i = 0; i < settings.curve_points; ++i) {
        const double torque_nm = curve.torque_nm(settings.curve[i].flow_m3s / ratio) * ratio * ratio;
        settings.curve_current_a[i] = line_current_a(station.motor, torque_nm * speed_rad_s);
    }
    settings.no_load_current_a = line_current_a(station.motor, 0);
}

}  // namespace freshet::config
