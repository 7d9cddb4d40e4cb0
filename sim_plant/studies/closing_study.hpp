// The study of a closing: one closing, its verdict in words, and the same closing repeated over the angle.
// One reason to change: which closings are studied together, or how the verdict reads.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sim_plant/physics/closing.hpp"
#include "sim_plant/physics/nameplate.hpp"

namespace freshet::studies {

struct SweepPoint {
    double angle_deg = 0;
    plant::ClosingResult result;
};

struct ClosingStudy {
    config::Motor motor;                             ///< with its circuit
    std::optional<plant::CircuitEstimate> estimate;  ///< where the circuit is estimated from the nameplate
    plant::ClosingCase closing;
    plant::ClosingResult result;
    std::vector<plant::ClosingTracePoint> trace;
    std::vector<SweepPoint> sweep;             ///< 0 to 180 degrees; empty where the study has none
    std::optional<double> sync_angle_max_deg;  ///< of the station's sync check, where the station is known
};

/// Studies one closing of a motor whose nameplate does not contradict itself. With `swept`, the closing
/// repeated every 5 degrees from 0 to 180.
ClosingStudy study_closing(const config::Motor& motor, const plant::ClosingCase& closing, bool swept);

/// A plain sentence: within or beyond the limit of resultant volts per hertz, and the hardest torque and
/// current.
std::string verdict_of(const plant::ClosingResult& result);

}  // namespace freshet::studies
