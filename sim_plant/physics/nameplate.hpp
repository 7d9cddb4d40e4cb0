// The equivalent circuit from a motor's nameplate, and the error of the estimate in each figure.
// One reason to change: the relations by which a circuit is estimated.
//
// Method. A fit by damped least squares (Levenberg, Marquardt) finds five unknowns from five figures of the
// nameplate.
//   unknowns: rr, xm, the leakage x = xls + xlr, and the standstill ratios of rotor resistance and leakage;
//   figures:  torque and current at rated slip, breakdown torque, locked-rotor current and torque.
// Each unknown has limits. At a limit the fit finds the least error of the other unknowns.
// rs comes from the loss balance
//   P_in - P = 3 rs I^2 + s/(1-s) (P + P_fw) + P_core + P_fw.
// Where the file gives no values, friction and windage are 8 % of all losses, and core with stray loss 27 %.
// Leakage is divided xls : xlr as 0.4 : 0.6, the division of IEEE Std 112 for NEMA design B (from memory). A
// figure that the nameplate does not state gets a typical value, and the answer marks the figure:
//   efficiency and power factor by size, slip from efficiency, locked-rotor current 6.0, locked-rotor torque
//   0.9, breakdown torque 2.1 (NEMA MG 1 design B minima and code letter G, from memory).
// Units: SI; ratios to rated. Valid: three-phase cage motors, 1 kW to 5 MW.
// Source: Haque, Determination of NEMA design induction motor parameters from manufacturer data, IEEE Trans.
//   Energy Conversion 23 (2008), and Pedra, Estimation of induction motor double-cage model parameters from
//   manufacturer data, ibid. 19 (2004) (both from memory, for the choice of figures and the deep-bar ratios);
//   loss shares: common practice.
// Leaves out: saturation of leakage at standstill (the leakage's standstill ratio contains it), temperature.
#pragma once

#include <string>
#include <vector>

#include "config/station.hpp"

namespace freshet::plant {

/// A figure of the nameplate and the same figure of the estimated circuit.
struct PlateCheck {
    std::string figure;    ///< "current", "power factor", ...
    double plate = 0;      ///< as printed, or a typical value
    double circuit = 0;    ///< the value of the circuit
    bool assumed = false;  ///< the nameplate does not state the figure
        /// Relative error of the circuit in this figure.
    double error() const { return plate != 0 ? circuit / plate - 1 : 0; }
};

struct CircuitEstimate {
    config::Motor motor;  ///< with circuit, friction and core loss
    std::vector<PlateCheck> checks;
    double worst_error = 0;  ///< largest relative error over the figures that the nameplate states
};

/// Estimates a circuit. Expects a motor from the loader, because the loader refuses a nameplate that
/// contradicts itself.
CircuitEstimate estimate_circuit(const config::Motor& motor);

/// The same motor when the motor has a circuit. Otherwise the motor with a circuit estimated from its
/// nameplate.
config::Motor with_circuit(const config::Motor& motor);

}  // namespace freshet::plant
