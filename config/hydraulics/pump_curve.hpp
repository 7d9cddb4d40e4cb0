// One type of pump at any speed: head, shaft torque and NPSHr over flow.
//
// One reason to change: how a catalogue curve is read between, beyond and away from its points.
//
// Equations, with s = speed over rated speed, x = q / s the flow brought to rated speed:
//
//   head H = s^2 h(x)
//   torque T = s^2 t(x)
//   NPSHr = s^2 n(x)
//   (affinity applied to the whole curve, never to a duty point)
//
// h, t, n: monotone cubics through the catalogue points. t comes from the points' shaft power rho g x h /
// efficiency over rated angular speed. At zero flow, where efficiency is no guide, the power lies on the
// straight line through the first two flowing points, held between 0.25 and 2 times the first one's.
//
// Beyond the last point x_n, torque constant, NPSHr on its last straight line, and
//   h = h_n + h'_n (x - x_n) - c (x - x_n)^2.
// Stopped impeller, either way, and reverse flow:
//   loss = c q^2, with c = 0.6 of the best-efficiency head at its flow.
//
// Units: m3/s, m of the pumped fluid, N m, rad/s.
//
// Valid: catalogue flows for figures; the continuations only keep a run sensible through a trip or a
// backflow.
//
// Sources: affinity laws: common practice; 0.6: from memory, four-quadrant data of radial pumps lie about 0.4
// to 1.
//
// Leaves out: change of efficiency with size or speed (Reynolds effects), viscosity correction of the curve,
// reverse rotation, curves that rise.
#pragma once

#include <cstddef>
#include <vector>

#include "config/numerics/monotone_cubic.hpp"
#include "config/station.hpp"

namespace freshet::config {

/// The curves over one piece of flow at rated speed, `from` to `to`.
struct CurvePiece {
    double from_m3s = 0, to_m3s = 0;
    Cubic head, torque, npshr;
};

/// Catalogue curves made ready for stepping. Immutable after construction.
class PumpCurve {
  public:
    /// Takes a curve of three or more points, flow rising from zero, head falling, and a rated speed above
    /// zero. Throws std::invalid_argument on anything else.
    PumpCurve(const PumpType& type, const Fluid& fluid);

    /// The piece that holds `flow_m3s` >= 0 (at rated speed), searched from `hint`.
    const CurvePiece* piece(double flow_m3s, const CurvePiece* hint) const {
        const CurvePiece* found = hint;
        while (flow_m3s < found->from_m3s) --found;
        while (flow_m3s > found->to_m3s) ++found;
        return found;
    }
    const CurvePiece* first_piece() const { return pieces_.data(); }

    /// Head at rated speed, m; `flow_m3s` >= 0.
    double head_m(double flow_m3s) const;
    /// Shaft torque at rated speed, N m; `flow_m3s` >= 0.
    double torque_nm(double flow_m3s) const;
    /// NPSHr at rated speed, m; `flow_m3s` >= 0.
    double npshr_m(double flow_m3s) const;
    /// Hydraulic over shaft power at rated speed, 0..1; `flow_m3s` >= 0.
    double efficiency(double flow_m3s) const;

    /// Flow at rated speed at which w h(x) - k x^2 equals `head_m`, for w h(0) >= head_m; m3/s. `head_factor`
    /// w > 0, `loss_s2m5` k >= 0.
    double flow_m3s(double head_m, double head_factor, double loss_s2m5) const;

    double shut_off_head_m() const { return pieces_.front().head[0]; }
    double largest_flow_m3s() const { return pieces_.back().from_m3s; }
    double best_flow_m3s() const { return best_flow_m3s_; }
    double rated_speed_rad_s() const { return rated_speed_rad_s_; }
    /// c of a stopped impeller, s2/m5.
    double stopped_loss_s2m5() const { return stopped_loss_s2m5_; }
    /// Density times gravity, N/m3.
    double specific_weight_nm3() const { return specific_weight_nm3_; }

  private:
    std::vector<CurvePiece> pieces_;  ///< between points, then the continuation beyond the last
    double best_flow_m3s_ = 0, rated_speed_rad_s_ = 0, stopped_loss_s2m5_ = 0, specific_weight_nm3_ = 0;
};

}  // namespace freshet::config
