// Figures that the controller's settings take from the equipment: small closed formulas, no simulation.
// One reason to change: a figure that follows from a station's description.
#pragma once

#include <optional>
#include <vector>

#include "config/station.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {

/// Motor speed at rated load over the pump's rated speed.
double line_speed_ratio(const Station& station);

/// The store behind the duty's measured value, as the controller takes it: the well or tank by its table; for
/// a header, the water in its air vessel by pressure head, (p + p_atm) V^n = const, in eight even steps from
/// pre-charge to the top of the transmitter's range.
std::vector<core::StorePoint> store_of(const Station& station);

/// Flow that moves the water at a velocity in the widest reach of the main, m3/s.
double scour_flow_m3s(const Main& main, double velocity_ms);

/// Water between two measured values, m3.
double volume_between_m3(const Station& station, double one_m, double other_m);

/// A motor with a circuit, at rated voltage and rated shaft power on the stable side.
struct RatedPoint {
    double slip = 0, current_a = 0;
};
/// Nothing when the circuit never gives that power.
std::optional<RatedPoint> circuit_at_rated_power(const Motor& motor);

/// Rated current, A: the nameplate's, else from power, efficiency and power factor, else from the circuit.
double rated_current_a(const Motor& motor);
/// Locked-rotor over rated current: the nameplate's, else the circuit's.
double locked_rotor_ratio(const Motor& motor);

}  // namespace freshet::config
