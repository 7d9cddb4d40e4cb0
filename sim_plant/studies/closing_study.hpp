// The study of a closing: one closing, its verdict in words, and the same closing repeated over the angle.
// One reason to change: the closings of a study, or the words of the verdict.
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
    std::optional<plant::CircuitEstimate> estimate;  ///< when the circuit is estimated from the nameplate
    plant::ClosingCase closing;
    plant::ClosingResult result;
    std::vector<plant::ClosingTracePoint> trace;
    std::vector<SweepPoint> sweep;             ///< 0 to 180 degrees; empty without a sweep
    std::optional<double> sync_angle_max_deg;  ///< of the station's sync check, when the station is known
};

/// Studies one closing of a motor whose nameplate does not contradict itself. With `swept` the study repeats
/// the closing every 5 degrees from 0 to 180.
ClosingStudy study_closing(const config::Motor& motor, const plant::ClosingCase& closing, bool swept);

/// A plain sentence: within or beyond the limit of resultant volts per hertz, and the hardest torque and
/// current.
std::string verdict_of(const plant::ClosingResult& result);

}  // namespace freshet::studies
