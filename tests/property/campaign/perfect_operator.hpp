// What the best operator could have kept from spilling with the pumps that had no fault: a bound from
// capacity alone, calculated by the plant's water and without the controller.
// One reason to change: what the best operator may do.
#pragma once

#include <cstddef>

#include "config/scenario.hpp"
#include "tests/property/campaign/coupled.hpp"

namespace freshet::campaign {

/// The well with all `pumps` at full speed whenever the level is above the stop mark. With
/// `between_pumps_s` above zero they come one after another, so long apart, as one drive brings them; zero:
/// all at once, from the first moment there is water. m3 spilt over the crest of the overflow.
double least_overflow_m3(const Base& base, const config::Scenario& scenario, std::size_t pumps,
                         double between_pumps_s);

}  // namespace freshet::campaign
