// The estimate of the inflow from the volume balance: straight lines through the volume that flowed in, with
// memories of several lengths.
// One reason to change: how the inflow is estimated from the balance.
//
// The store balances as
//
//     dV/dt = inflow - outflow,
//
// where V is the volume that calls for pumping, and the outflow is what the pumps and the weir take. For a
// tank or a vessel "inflow" is the demand. Each line is the least-squares line through the last N samples of
// V + (outflow so far). Its slope is the inflow. With N samples of noise s the slope is uncertain by
//
//     s sqrt(12 / (N (N^2 - 1))) per sample,
//
// and the volume at the end of the line by about 2 s / sqrt(N). The gains of sample N are 2 (2N - 1) / (N (N
// + 1)) on the volume and 6 / (N (N + 1)) on the slope (source: the recursive least-squares fit of a straight
// line, common practice). From the greatest N on the gains stay, so that the line forgets.
//
// A short line is noisy and a long line is late. So a longer line starts again from a shorter line that
// contradicts the longer one by more than the shorter one's own uncertainty allows. The longest line is the
// estimate.
#pragma once

#include <array>
#include <cstddef>

namespace freshet::core {

/// One sample of the balance.
struct BalanceSample {
    double volume_m3 = 0;    ///< volume that calls for pumping
    double outflow_m3s = 0;  ///< what pumps and weir took since the sample before
    double noise_m3 = 0;     ///< standard deviation of the volume; above zero
    double elapsed_s = 0;    ///< since the sample before; above zero
};

/// The estimate of the inflow, m3/s.
class InflowEstimate {
  public:
    /// Starts at a volume with a first guess of the inflow, m3/s.
    void start_at(double volume_m3, double inflow_m3s) noexcept;
    /// Forgets the inflow. The inflow is not known until the next start.
    void forget() noexcept { known_ = false; }
    /// Takes one sample. `longest` is the memory of the longest line, in samples; at least 4.
    void step(const BalanceSample& sample, double longest) noexcept;
    /// Carries the lines over a time without a measured value.
    void carry_over(double outflow_m3s, double elapsed_s) noexcept;
    /// The reading jumped by `volume_m3`, faster than water can move. No water came, so the slopes stay.
    void shift(double volume_m3) noexcept;

    bool known() const noexcept { return known_; }
    /// The estimated inflow, m3/s. Use only while known().
    /// At least zero, because water does not flow back out of a well, nor a demand into a tank.
    double inflow_m3s() const noexcept {
        return lines_[longest_].inflow_m3s > 0 ? lines_[longest_].inflow_m3s : 0;
    }
    /// Standard deviation of the estimated inflow, m3/s; very great before the third sample.
    double doubt_m3s() const noexcept { return doubt_m3s_; }
    /// How fast the inflow surely rises, m3/s per second; at least zero. Both halves of the last 40 s must show
    /// the rise, so that a step of inflow is no rise. The rise is over as soon as the inflow falls again.
    double rise_m3s2() const noexcept {
        return inflow_m3s() > earlier_[0].inflow_m3s && lines_[1].inflow_m3s > earlier_[0].inflow_m3s
                   ? rise_m3s2_
                   : 0;
    }
    /// The volume without its noise, m3.
    double volume_m3() const noexcept { return lines_[longest_].volume_m3; }
    /// The volume of the shortest line, m3, which follows the readings most closely.
    double nearest_volume_m3() const noexcept { return lines_[0].volume_m3; }

  private:
    struct Line {
        double volume_m3 = 0, inflow_m3s = 0, samples = 0;
        /// Takes one sample. `per_s` is one over the time since the sample before. `memory` is the greatest number
        /// of samples that count.
        void take(const BalanceSample& sample, double per_s, double memory) noexcept;
        /// True when this line excludes a longer one, by more than its own uncertainty allows.
        bool contradicts(const Line& longer, const BalanceSample& sample) const noexcept;
    };
    static constexpr std::array<double, 5> memories{4, 12, 36, 108, 324};

    /// An earlier estimate, m3/s.
    struct Earlier {
        double inflow_m3s = 0, doubt_m3s = 0;
    };
    static constexpr std::size_t earlier_kept = 2;

    void judge_rise(double elapsed_s) noexcept;
    /// Estimates from before a gap say nothing about the rise of the last 40 s.
    void forget_rise() noexcept;

    std::array<Line, memories.size()> lines_{};
    std::array<Earlier, earlier_kept> earlier_{};  ///< 20 s and 40 s before `earlier_s_` ago
    double earlier_s_ = 0, rise_m3s2_ = 0;
    std::size_t earlier_count_ = 0;
    std::size_t longest_ = 0;
    double doubt_m3s_ = 0;
    bool known_ = false;
};

}  // namespace freshet::core
