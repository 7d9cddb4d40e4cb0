// A closing as a drawing: current and torque over time, and peaks and resultant over the angle, with their
// limits. One reason to change: how the drawing looks.
#pragma once

#include <string>

#include "sim_plant/studies/closing_study.hpp"

namespace freshet::studies {

/// A self-contained SVG document. Current is per unit of the steady peak, torque per unit of rated torque.
/// The plots over the angle are left out where the study has no sweep.
std::string closing_svg(const ClosingStudy& study);

}  // namespace freshet::studies
