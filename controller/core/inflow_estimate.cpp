// Straight lines through the volume balance; see the header for the formulas.
#include "controller/core/inflow_estimate.hpp"

#include <algorithm>
#include <cmath>

#include "controller/core/numbers.hpp"

namespace freshet::core {

namespace {

/// The doubt of a line with fewer than three samples, m3/s. No station has such a flow.
constexpr double unknown_m3s = 1e9;

double slope_doubt_m3s(double samples, const BalanceSample& sample) noexcept {
    constexpr double least = 3;
    if (samples < least) return unknown_m3s;
    return sample.noise_m3 * std::sqrt(12 / (samples * (samples * samples - 1))) / sample.elapsed_s;
}

}  // namespace

void InflowEstimate::start_at(double volume_m3, double inflow_m3s) noexcept {
    lines_.fill({volume_m3, inflow_m3s, 1});
    forget_rise();
    longest_ = 0;
    doubt_m3s_ = unknown_m3s;
    known_ = true;
}

void InflowEstimate::Line::take(const BalanceSample& sample, double per_s, double memory) noexcept {
    samples = std::min(samples + 1, memory);
    volume_m3 += (inflow_m3s - sample.outflow_m3s) * sample.elapsed_s;
    const double missed_m3 = sample.volume_m3 - volume_m3;
    const double share = 1 / (samples * (samples + 1));
    volume_m3 += 2 * (2 * samples - 1) * share * missed_m3;
    inflow_m3s += 6 * share * missed_m3 * per_s;
}

bool InflowEstimate::Line::contradicts(const Line& longer, const BalanceSample& sample) const noexcept {
    if (longer.samples <= samples) return false;
    constexpr double deviations = 5.5, least = 3;
    const auto square = [](double value) { return value * value; };
    // Both sides of each comparison are squared, because a root and a division cost more.
    const double believed_m3 = deviations * sample.noise_m3;
    const double apart_m3 = (inflow_m3s - longer.inflow_m3s) * sample.elapsed_s;
    const bool apart_in_slope =
        samples >= least && square(apart_m3) * samples * (samples * samples - 1) > 12 * square(believed_m3);
    return apart_in_slope || square(volume_m3 - longer.volume_m3) * samples > square(2 * believed_m3);
}

void InflowEstimate::step(const BalanceSample& sample, double longest) noexcept {
    longest_ = 0;
    const double per_s = 1 / sample.elapsed_s;
    for (std::size_t i = 0; i < lines_.size(); ++i) {
        if (i > 0 && memories[i - 1] >= longest) break;
        longest_ = i;
        lines_[i].take(sample, per_s, std::min(memories[i], longest));
        if (i > 0 && lines_[i - 1].contradicts(lines_[i], sample)) lines_[i] = lines_[i - 1];
    }
    // A line that the present noise does not need follows the longest one, so that it is ready.
    for (std::size_t i = longest_ + 1; i < lines_.size(); ++i) lines_[i] = lines_[longest_];
    doubt_m3s_ = slope_doubt_m3s(lines_[longest_].samples, sample);
    judge_rise(sample.elapsed_s);
}

void InflowEstimate::forget_rise() noexcept {
    earlier_s_ = rise_m3s2_ = 0;
    earlier_count_ = 0;
}

void InflowEstimate::judge_rise(double elapsed_s) noexcept {
    constexpr double half_s = 20, deviations = 1.5;
    earlier_s_ += elapsed_s;
    if (earlier_s_ < half_s) return;
    const Earlier now{inflow_m3s(), doubt_m3s_};
    const auto rise = [&](const Earlier& from, const Earlier& to) {
        return (to.inflow_m3s - from.inflow_m3s - deviations * (to.doubt_m3s + from.doubt_m3s)) / earlier_s_;
    };
    rise_m3s2_ = earlier_count_ < earlier_kept
                     ? 0
                     : std::max(std::min(rise(earlier_[1], earlier_[0]), rise(earlier_[0], now)), 0.0);
    earlier_ = {now, earlier_[0]};
    earlier_count_ = std::min(earlier_count_ + 1, earlier_kept);
    earlier_s_ = 0;
}

void InflowEstimate::carry_over(double outflow_m3s, double elapsed_s) noexcept {
    // The slope of a short line is too noisy to be carried over a gap, so every line continues from the longest.
    Line carried = lines_[longest_];
    carried.volume_m3 += (carried.inflow_m3s - outflow_m3s) * elapsed_s;
    lines_.fill(carried);
    forget_rise();
}

void InflowEstimate::shift(double volume_m3) noexcept {
    for (Line& line : lines_) line.volume_m3 += volume_m3;
}

}  // namespace freshet::core
