// Figures that the controller's settings take from the equipment: small closed formulas, no simulation.
// One reason to change: a figure that follows from a station's description.
#pragma once

#include <vector>

#include "config/station.hpp"

namespace freshet::config {

/// Head lost in a main at a flow, m; friction and minor losses of every reach. Darcy-Weisbach with the
/// Colebrook-White friction factor (64/Re below Re 2000), or Hazen-Williams in SI form h = 10.67 L Q^1.852 /
/// (C^1.852 d^4.87). Flow from zero up. Source: as sim_plant/physics/pipe.hpp.
double main_loss_m(const Main& main, const Fluid& fluid, double flow_m3s);

/// Head of one pump at a flow and a speed ratio, m: linear between the points of the catalogue curve, the
/// first and last pieces extended, scaled by the affinity laws (Q ~ n, H ~ n^2).
double pump_head_m(const PumpType& pump, double flow_m3s, double speed_ratio);

/// Shaft power of one pump at a flow and speed ratio, W: rho g Q H / efficiency; at no flow that of the
/// lowest point of the curve with an efficiency above zero, scaled as n^3.
double shaft_power_w(const PumpType& pump, const Fluid& fluid, double flow_m3s, double speed_ratio);

/// Motor speed at rated load over the pump's rated speed.
double line_speed_ratio(const Station& station);

/// The station's static head at a level of the well or tank, m: the head against a pump at no flow.
double static_head_m(const Station& station, double level_m);

/// Total flow of `pumps` equal pumps at one speed ratio against a static head through branches and main,
/// m3/s; zero when the pumps do not overcome the static head.
double station_flow_m3s(const Station& station, int pumps, double speed_ratio, double static_head_m);

/// The store behind the duty's measured value: the well or tank by its table; for a header, the water in its
/// air vessel by pressure head, (p + p_atm) V^n = const, in eight even steps from pre-charge to the top of
/// the transmitter's range.
std::vector<StoragePoint> store_of(const Station& station);

/// Water between two measured values, m3.
double volume_between_m3(const Station& station, double one_m, double other_m);

/// Steady figures of a motor on its equivalent circuit at rated voltage.
struct CircuitPoint {
    double slip = 0, current_a = 0, torque_nm = 0, shaft_power_w = 0, power_factor = 0, efficiency = 0;
};
/// At a slip; standstill ratios of the rotor blend in linearly with slip.
CircuitPoint circuit_at(const Motor& motor, double slip);
/// At rated shaft power, on the stable side. The slip is zero when the circuit never gives that power.
CircuitPoint circuit_at_rated_power(const Motor& motor);

/// Rated current, A: the nameplate's, else from power, efficiency and power factor, else from the circuit.
double rated_current_a(const Motor& motor);
/// Locked-rotor over rated current: the nameplate's, else the circuit's.
double locked_rotor_ratio(const Motor& motor);

}  // namespace freshet::config
