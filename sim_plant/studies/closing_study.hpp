// The study of a closing: the verdict on one closing in words, and the closing repeated over the angle.
// One reason to change: which closings are studied together, or how the verdict reads.
#pragma once

#include <string>
#include <vector>

#include "sim_plant/physics/closing.hpp"

namespace freshet::studies {

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

}  // namespace freshet::studies
