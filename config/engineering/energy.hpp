// The electrical power of a combination of pumps, and the speed that needs the least energy per volume.
// One reason to change: a loss between the supply and the water.
//
// Power of a pump: shaft power from the catalogue's efficiency by the affinity laws, the motor's losses, and
// for the pump on the drive the drive's loss.
//   motor with a circuit:  P = T w + 3 rs I^2 + core loss, I from the circuit at the torque T and rated flux
//   motor by nameplate:    P = shaft power + fixed loss + (all losses - fixed loss) (T / rated torque)^2. The
//                          fixed loss is friction and core loss, or 35 % of all losses where the file gives
//                          neither.
//   drive:                 P (1 / eta - 1), eta by load, with straight lines between the points
// Units: W, m3/s, Hz. Valid: steady flow, rated voltage.
// Source: losses of a motor at constant flux, common practice; 35 %: common practice.
// Leaves out: the supply's losses, temperature, harmonics.
#pragma once

#include <cstdint>
#include <optional>

#include "config/station.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/steady_flow.hpp"

namespace freshet::config {

/// A combination of pumps with its flow and its power from the supply.
struct Working {
    double flow_m3s = 0;
    double power_w = 0;
    /// Energy per volume, kWh/m3; the flow must be above zero.
    double energy_kwh_m3() const;
};

/// `settings` must have the station's hydraulics.
Working working(const Station& station, const core::Settings& settings, const core::Combination& combination);

/// The draw of a pump on the drive in addition to `line_pumps`.
struct BestDraw {
    double speed_hz = 0;
    Working alone;  ///< the line pumps without the drive pump
    Working drawn;  ///< with the drive pump at that speed
};

/// The speed, from the minimum-flow speed to the highest, that needs the least energy for each volume that
/// the drive pump adds. Judged at the middle of the two marks between which the pump draws. Nothing when the
/// drive pump adds no flow at any speed.
std::optional<BestDraw> best_draw(const Station& station, const core::Settings& settings,
                                  std::uint8_t line_pumps);

}  // namespace freshet::config
