// What a contactor's closing onto a live source is recorded as: how far apart the two sides were, and what
// the motor felt.
//
// One reason to change: what is recorded of a closing.
//
// Source of the figures: closing.hpp.
// Units: V line to line rms, Hz, cycles; ratios to rated.
#pragma once

#include <cstdint>

#include "sim_plant/physics/motor.hpp"

namespace freshet::plant {

enum class ContactorAt : std::uint8_t { drive_output, drive_side, line_side };

/// A contactor that met a live source, and what that did.
struct ClosingRecord {
    double at_s = 0;  ///< after the beginning of the step
    std::uint8_t pump = 0;
    ContactorAt contactor = ContactorAt::line_side;
    bool from_rest = false;  ///< the motor showed no voltage: a start, nothing to match
    double angle_deg = 0;    ///< motor terminals ahead of the source that came on, (-180, 180]
    double slip_hz = 0;      ///< their frequency less the source's
    double resultant_v_per_hz_pu = 0;
    double peak_current_ratio = 0;                      ///< worst phase peak over the steady peak before
    double torque_max_ratio = 0, torque_min_ratio = 0;  ///< over rated torque
};

/// One side of a contactor: its voltage and the angle of that voltage.
struct LiveSide {
    double voltage_v = 0, frequency_hz = 0, cycles = 0;
};

/// Studies a closing with the machine model (a few milliseconds). `terminals` without voltage: a start from
/// rest. `shown_torque_nm`: what the motor delivered before. Fills all but `at_s`, `pump` and `contactor`.
ClosingRecord closing_record(const MotorModel& model, const MotorShaft& shaft, double pump_inertia_kgm2,
                             double rated_speed_rad_s, double shown_torque_nm, const LiveSide& source,
                             const LiveSide& terminals);

}  // namespace freshet::plant
