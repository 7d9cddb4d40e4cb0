// Measures and studies one closing: see the header.
//
// One reason to change: the recorded figures of a closing.
#include "sim_plant/physics/closing_record.hpp"

#include <algorithm>

#include "sim_plant/physics/closing.hpp"
#include "sim_plant/physics/drive.hpp"

namespace freshet::plant {

ClosingRecord closing_record(const MotorModel& model, const MotorShaft& shaft, double pump_inertia_kgm2,
                             double rated_speed_rad_s, double shown_torque_nm, const LiveSide& source,
                             const LiveSide& terminals) {
    ClosingRecord entry;
    entry.from_rest = terminals.voltage_v <= 0;
    entry.angle_deg = 360 * within_half_a_turn(terminals.cycles - source.cycles);
    entry.slip_hz = terminals.frequency_hz - source.frequency_hz;
    entry.resultant_v_per_hz_pu = resultant_v_per_hz(
        terminals.voltage_v / model.rated_v(), terminals.frequency_hz / model.rated_hz(),
        source.voltage_v / model.rated_v(), source.frequency_hz / model.rated_hz(), entry.angle_deg);

    ClosingCase closing;
    closing.before = shaft.mode == MotorMode::coasting && terminals.voltage_v > 0 ? Before::residual
                     : terminals.voltage_v > 0                                    ? Before::source
                                                                                  : Before::rest;
    closing.angle_deg = entry.angle_deg;
    closing.slip_hz = entry.slip_hz;
    closing.volts_difference_ratio = (terminals.voltage_v - source.voltage_v) / model.rated_v();
    closing.line_v = source.voltage_v;
    closing.line_hz = source.frequency_hz;
    closing.pump_inertia_kgm2 = pump_inertia_kgm2;
    if (closing.before == Before::source) {
        const double speed_ratio = shaft.speed_rad_s / rated_speed_rad_s;
        const double fan_nm = model.rated_torque_nm * speed_ratio * speed_ratio;
        if (fan_nm > 0) closing.load_ratio = std::max(0.0, shown_torque_nm - model.friction_nm) / fan_nm;
    }
    const ClosingResult result = closing_study(model.motor(), closing);
    entry.peak_current_ratio = result.peak_current_ratio;
    entry.torque_max_ratio = result.torque_max_nm / result.rated_torque_nm;
    entry.torque_min_ratio = result.torque_min_nm / result.rated_torque_nm;
    return entry;
}

}  // namespace freshet::plant
