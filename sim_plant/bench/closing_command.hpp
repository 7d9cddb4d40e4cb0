// `freshet closing`: what a closing at a given angle, slip and voltage difference does to a motor. The
// command itself is declared with the others in commands.hpp; it returns 0 within the limit, 1 beyond it, 2
// on bad input, 3 when a file cannot be written. One reason to change: what a closing is asked for, or how
// the answer reads.
#pragma once

#include <string>
#include <vector>

#include "sim_plant/physics/closing.hpp"

namespace freshet::bench {

/// A plain sentence: within or beyond the limit of resultant volts per hertz, and the hardest torque and
/// current.
std::string verdict_of(const plant::ClosingResult& result);

/// The peaks over the angle.
struct SweepPoint {
    double angle_deg = 0;
    plant::ClosingResult result;
};
/// The closing repeated from 0 to 180 degrees in steps of `step_deg`.
std::vector<SweepPoint> sweep_angles(const config::Motor& motor, plant::ClosingCase closing, double step_deg);

}  // namespace freshet::bench
