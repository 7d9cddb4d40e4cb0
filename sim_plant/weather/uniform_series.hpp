// Values at even distances in time, with linear interpolation. One reason to change: how a sampled series is
// read.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace freshet::plant {

/// The first value is valid before the first sample, and the last value after the last sample. A read costs a
/// few nanoseconds.
class UniformSeries {
  public:
    /// `samples` has at least one value, the first at `first_s`; `step_s` above zero.
    UniformSeries(double first_s, double step_s, const std::vector<double>& samples)
        : first_s_(first_s), per_step_(1.0 / step_s), cells_(samples.size()) {
        for (std::size_t i = 0; i < samples.size(); ++i) {
            cells_[i].value = samples[i];
            cells_[i].rise = i + 1 < samples.size() ? samples[i + 1] - samples[i] : 0.0;
        }
        last_ = static_cast<double>(samples.size() - 1);
    }

    [[nodiscard]] double at(double t_s) const {
        const double position = position_of(t_s);
        const auto index = static_cast<std::int64_t>(position);
        const Cell& cell = cells_[static_cast<std::size_t>(index)];
        return cell.value + (position - static_cast<double>(index)) * cell.rise;
    }

    /// Rise per second at `t_s`. At a sample: the rise of the cell after this sample. Zero from the last
    /// sample.
    [[nodiscard]] double slope_at(double t_s) const {
        return cells_[static_cast<std::size_t>(position_of(t_s))].rise * per_step_;
    }

  private:
    [[nodiscard]] double position_of(double t_s) const {
        double position = (t_s - first_s_) * per_step_;
        position = position > 0 ? position : 0;
        return position < last_ ? position : last_;
    }

    /// A value and the rise to the next value, next to each other so that one read fetches both.
    struct Cell {
        double value = 0, rise = 0;
    };

    double first_s_, per_step_, last_ = 0;
    std::vector<Cell> cells_;
};

}  // namespace freshet::plant
