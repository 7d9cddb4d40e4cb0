// The air in the vessel of a header, compressed by the water.
// One reason to change: the gas law of the air in a vessel.
//
// Equation: (p + p_atm) V^n = const from the pre-charge, n the polytropic exponent.
// Units: m of the pumped fluid, gauge.
// Valid: n from 1 (slow changes) to 1.4 (fast changes), from the pre-charge up.
// Source: polytropic gas law: E. B. Wylie and V. L. Streeter, Fluid Transients in Systems, 1993, from memory.
// Leaves out: heat exchange over time, dissolved air.
#pragma once

#include <cmath>

#include "config/hydraulics/gravity.hpp"
#include "config/station.hpp"

namespace freshet::config {

/// The atmosphere as a head of the fluid, m.
inline double atmosphere_head_m(const Fluid& fluid) {
    return atmosphere_pa / (fluid.density_kgm3 * gravity_ms2);
}

/// The share of the vessel's volume that the air has left at a head; the water has the rest. `atmosphere_m`:
/// the atmosphere as a head.
inline double air_share(const AirVessel& vessel, double atmosphere_m, double head_m) {
    return std::pow((vessel.precharge_head_m + atmosphere_m) / (head_m + atmosphere_m),
                    1 / vessel.polytropic_exponent);
}

}  // namespace freshet::config
