// The record of a contactor's closing onto a live source: how far apart the two sides were, and the effect on
// the motor.
//
// One reason to change: the recorded figures of a closing.
//
// Source of the figures: closing.hpp.
// Units: V line to line rms, Hz, cycles; ratios to rated.
#pragma once

#include <cstdint>

#include "sim_plant/physics/motor.hpp"

namespace freshet::plant {

enum class ContactorAt : std::uint8_t { drive_output, drive_side, line_side };

/// A contactor that closed onto a live source, and the effect on the motor.
struct ClosingRecord {
    double at_s = 0;  ///< time after the beginning of the step
    std::uint8_t pump = 0;
    ContactorAt contactor = ContactorAt::line_side;
    bool from_rest = false;  ///< a start: the motor had no voltage
    double angle_deg = 0;    ///< lead of the motor's terminals over the connected source, (-180, 180]
    double slip_hz = 0;      ///< frequency of the terminals minus frequency of the source
    double resultant_v_per_hz_pu = 0;
    double peak_current_ratio = 0;  ///< worst phase peak divided by the steady peak before the closing
    double torque_max_ratio = 0, torque_min_ratio = 0;  ///< divided by the rated torque
};

/// One side of a contactor: its voltage and the angle of that voltage.
struct LiveSide {
    double voltage_v = 0, frequency_hz = 0, cycles = 0;
};

/// Studies a closing with the machine model (takes a few milliseconds). `terminals` without voltage means a
/// start from rest. `shown_torque_nm` is the motor's torque before the closing. Fills every member except
/// `at_s`, `pump` and `contactor`.
ClosingRecord closing_record(const MotorModel& model, const MotorShaft& shaft, double pump_inertia_kgm2,
                             double rated_speed_rad_s, double shown_torque_nm, const LiveSide& source,
                             const LiveSide& terminals);

}  // namespace freshet::plant
