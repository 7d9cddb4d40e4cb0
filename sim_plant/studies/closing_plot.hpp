// A closing as a drawing: current and torque over time, and the peaks over the angle.
// One reason to change: how the drawing looks.
#pragma once

#include <string>
#include <vector>

#include "sim_plant/studies/closing_study.hpp"

namespace freshet::studies {

/// A self-contained SVG document. Current is per unit of the steady peak, torque per unit of rated torque.
/// The panels over the angle are left out when there is no sweep, those over time when there is no trace.
std::string closing_svg(const std::string& title, const plant::ClosingResult& result,
                        const std::vector<plant::ClosingTracePoint>& trace,
                        const std::vector<SweepPoint>& sweep);

}  // namespace freshet::studies
