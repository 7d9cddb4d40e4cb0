// A closing as a drawing: current and torque over time, and peaks and resultant over the angle, with their
// limits. One reason to change: how the drawing looks.
#pragma once

#include <string>

#include "sim_plant/studies/closing_study.hpp"

namespace freshet::studies {

/// A complete SVG document. Current is per unit of the steady peak, torque per unit of rated torque. Without
/// a sweep in the study, the plots over the angle are missing.
std::string closing_svg(const ClosingStudy& study);

}  // namespace freshet::studies
