// The loss of a main made quick to read while the plant steps.
//
// One reason to change: how the loss is made quick to read.
//
// Equations: cubic Hermite pieces through the losses of config/hydraulics/pipe.hpp.
//
// Units: m, m3/s.
//
// Valid: flows up to the table's end with the accuracy below; beyond, a parabola that only keeps a run sensible.
#pragma once

#include <array>
#include <cstddef>

#include "config/hydraulics/pipe.hpp"
#include "config/station.hpp"

namespace freshet::plant {

/// The loss of a whole main as a table of cubic pieces, exact in value and slope at its knots: no libm while
/// stepping. Between knots it follows main_loss_m within 1e-6 of the loss from a tenth of `flow_max_m3s`
/// upwards; beyond `flow_max_m3s` it continues as a parabola.
class MainLoss {
  public:
    struct Reading {
        double loss_m = 0, slope_sm2 = 0;
    };

    /// `flow_max_m3s` > 0: the largest flow that is to be read exactly.
    MainLoss(const config::Main& main, const config::Fluid& fluid, double flow_max_m3s);

    /// Loss (with the sign of the flow) and its slope (never negative).
    Reading at(double flow_m3s) const;

  private:
    static constexpr std::size_t pieces_count = 64;
    std::array<std::array<double, 4>, pieces_count + 1> pieces_{};  ///< the last continues beyond the table
    double width_m3s_ = 0, per_width_ = 0;
};

inline MainLoss::Reading MainLoss::at(double flow_m3s) const {
    const double flow = flow_m3s < 0 ? -flow_m3s : flow_m3s;
    const double place = flow * per_width_;
    const std::size_t index =
        place < static_cast<double>(pieces_count) ? static_cast<std::size_t>(place) : pieces_count;
    const auto& c = pieces_[index];
    const double t = flow - static_cast<double>(index) * width_m3s_;
    const double loss = c[0] + t * (c[1] + t * (c[2] + t * c[3]));
    return {flow_m3s < 0 ? -loss : loss, c[1] + t * (2 * c[2] + t * 3 * c[3])};
}

}  // namespace freshet::plant
