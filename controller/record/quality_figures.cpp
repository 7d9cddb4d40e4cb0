// Sums up spans of quality. The header explains the figures.
#include "controller/record/quality_figures.hpp"

#include "controller/record/seconds.hpp"
#include "controller/words/states.hpp"

namespace freshet::record {
void QualityFigures::Spans::add(core::Quality quality, core::Cause cause, std::int64_t span_ms) {
    by_quality_ms[static_cast<std::size_t>(quality)] += span_ms;
    if (quality != core::Quality::good) by_cause_ms[static_cast<std::size_t>(cause)] += span_ms;
}

void QualityFigures::add(const core::Advice& advice) {
    if (advice.measured_quality == quality_ && advice.measured_cause == cause_) return;
    if (first_change_ms_ == core::never_ms)
        first_change_ms_ = advice.time_ms;
    else
        spans_.add(quality_, cause_, advice.time_ms - since_ms_);
    quality_ = advice.measured_quality;
    cause_ = advice.measured_cause;
    since_ms_ = advice.time_ms;
}

void QualityFigures::sum_up(RunSummary& summary, std::int64_t first_ms, std::int64_t last_ms) const {
    const bool changed = first_change_ms_ != core::never_ms;
    Spans all = spans_;
    all.add(core::Quality::bad, core::Cause::never_read, (changed ? first_change_ms_ : last_ms) - first_ms);
    if (changed) all.add(quality_, cause_, last_ms - since_ms_);
    summary.measured_good_s = seconds_of(all.by_quality_ms[static_cast<std::size_t>(core::Quality::good)]);
    summary.measured_uncertain_s =
        seconds_of(all.by_quality_ms[static_cast<std::size_t>(core::Quality::uncertain)]);
    summary.measured_bad_s = seconds_of(all.by_quality_ms[static_cast<std::size_t>(core::Quality::bad)]);
    summary.measured_not_good_s_by_cause.clear();
    for (const auto& cause : words::quality_causes) {
        const std::int64_t span_ms = all.by_cause_ms[static_cast<std::size_t>(cause.code)];
        if (span_ms > 0) summary.measured_not_good_s_by_cause.emplace_back(cause.name, seconds_of(span_ms));
    }
}

}  // namespace freshet::record
