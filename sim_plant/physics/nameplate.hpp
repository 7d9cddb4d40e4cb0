// From a motor's nameplate to its equivalent circuit, and how far the estimate is off.
// One reason to change: the relations by which a circuit is estimated.
#pragma once

#include <string>
#include <vector>

#include "config/station.hpp"

namespace freshet::plant {

/// The motor itself when it has a circuit, else with the circuit estimated from its nameplate.
config::Motor with_circuit(const config::Motor& motor);

/// Slip in the stable region at which the shaft gives a power at rated voltage and frequency.
double slip_for_shaft_power(const config::Motor& motor, double power_w);

}  // namespace freshet::plant
