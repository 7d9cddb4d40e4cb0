// The loss of a main as a table that the plant reads quickly in each step.
//
// One reason to change: how the loss of a main is tabulated.
//
// Equations: cubic Hermite pieces through the losses of config/hydraulics/pipe.hpp.
//
// Units: m, m3/s.
//
// Valid: flows up to the table's end, with the accuracy below. Beyond, a parabola keeps a run plausible.
#pragma once

#include <array>
#include <cstddef>

#include "config/hydraulics/pipe.hpp"
#include "config/station.hpp"

namespace freshet::plant {

/// The loss of a whole main as a table of cubic pieces. The pieces have the exact value and slope at their
/// ends, and a step needs no mathematical library. Between the ends the table follows main_loss_m within 1e-6
/// of the loss, from a tenth of `flow_max_m3s` upwards. Beyond `flow_max_m3s` the table continues as a
/// parabola.
class MainLoss {
  public:
    struct Reading {
        double loss_m = 0, slope_sm2 = 0;
    };

    /// `flow_max_m3s` > 0: the largest flow with the accuracy above.
    MainLoss(const config::Main& main, const config::Fluid& fluid, double flow_max_m3s);

    /// The loss (with the sign of the flow) and its slope (never negative).
    Reading at(double flow_m3s) const;

  private:
    static constexpr std::size_t pieces_count = 64;
    /// The last piece continues beyond the table.
    std::array<std::array<double, 4>, pieces_count + 1> pieces_{};
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
