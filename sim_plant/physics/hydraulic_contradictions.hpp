// Contradictions that make a station impossible for the water side.
//
// One reason to change: a contradiction of the water side.
#pragma once

#include <string>
#include <vector>

#include "config/station.hpp"

namespace freshet::plant {

/// A sentence with figures for each contradiction. Empty: Hydraulics can be built, and the pumps can move
/// water at the lowest lift.
std::vector<std::string> hydraulic_contradictions(const config::Station& station);

}  // namespace freshet::plant
