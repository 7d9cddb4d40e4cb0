// The volume that must spill even with the best operator, who has the pumps without a fault. This bound
// follows from capacity alone. The plant's water side calculates the bound, without the controller.
// One reason to change: the freedom of the best operator.
#pragma once

#include <cstddef>

#include "config/scenario.hpp"
#include "tests/property/campaign/coupled.hpp"

namespace freshet::campaign {

/// The volume over the crest of the overflow, m3. All `pumps` are at full speed whenever the level is above
/// the stop mark. With `between_pumps_s` above zero, one drive starts the pumps one after another at this
/// interval. With zero, all pumps run from the first moment with water.
double least_overflow_m3(const Base& base, const config::Scenario& scenario, std::size_t pumps,
                         double between_pumps_s);

}  // namespace freshet::campaign
