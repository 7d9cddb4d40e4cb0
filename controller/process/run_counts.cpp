// Counts the advice.
// One reason to change: see the header.
#include "controller/process/run_counts.hpp"

#include <algorithm>
#include <cmath>

#include "controller/record/wear.hpp"

namespace freshet::controller_process {

void RunCounts::add_event(const core::Event& event, std::int64_t now_ms) {
    if (event.what != core::EventKind::sequence_done) return;
    const auto sequence = static_cast<core::Sequence>(event.detail);
    hand_overs_ += sequence == core::Sequence::hand_over ? 1 : 0;
    take_backs_ += sequence == core::Sequence::take_back ? 1 : 0;
    if (sequence != core::Sequence::hand_over && sequence != core::Sequence::take_back) return;
    constexpr std::int64_t hour_ms = 3'600'000;
    std::erase_if(transfers_ms_, [&](std::int64_t at_ms) { return at_ms <= now_ms - hour_ms; });
    transfers_ms_.push_back(now_ms);
    transfers_per_hour_max_ =
        std::max(transfers_per_hour_max_, static_cast<std::uint32_t>(transfers_ms_.size()));
}

void RunCounts::add(const core::Advice& advice) {
    if (scans_ == 0) {
        first_ms_ = advice.time_ms;
        first_figures_ = advice.figures;
    }
    ++scans_;
    for (const core::PumpFigures& figures : advice.figures) {
        starts_per_hour_max_ = std::max<std::uint32_t>(starts_per_hour_max_, figures.starts_last_hour);
    }
    if (advice.measured_quality == core::Quality::good) {
        measured_max_m_ = std::fmax(measured_max_m_, advice.measured_m);
        measured_min_m_ = std::fmin(measured_min_m_, advice.measured_m);
    }
    for (std::size_t i = 0; i < advice.event_count; ++i) add_event(advice.events[i], advice.time_ms);
    if (advice.event_count == 0) return;
    alarms_.add(advice);
    quality_.add(advice);
}

record::RunSummary RunCounts::summary(const core::Advice& last, std::uint8_t pump_count) const {
    constexpr double ms_per_s = 1000;
    constexpr double ms_per_h = 3.6e6;
    record::RunSummary summary;
    summary.pump_count = pump_count;
    summary.scans = scans_;
    summary.simulated_s = scans_ == 0 ? 0 : static_cast<double>(last.time_ms - first_ms_) / ms_per_s;
    summary.level_max_m = measured_max_m_;
    summary.level_min_m = measured_min_m_;
    summary.hand_overs = hand_overs_;
    summary.take_backs = take_backs_;
    summary.starts_per_hour_max = starts_per_hour_max_;
    summary.transfers_per_hour_max = transfers_per_hour_max_;
    for (std::size_t pump = 0; pump < pump_count; ++pump) {
        const core::PumpFigures& first = first_figures_[pump];
        const core::PumpFigures& now = last.figures[pump];
        summary.line_starts += now.line_starts - first.line_starts;
        summary.starts_per_pump[pump] = now.starts - first.starts;
        summary.run_h_per_pump[pump] = static_cast<double>(now.run_ms - first.run_ms) / ms_per_h;
    }
    record::set_wear(summary, last, pump_count);
    alarms_.sum_up(summary, last.time_ms);
    if (scans_ != 0) quality_.sum_up(summary, first_ms_, last.time_ms);
    return summary;
}

}  // namespace freshet::controller_process
