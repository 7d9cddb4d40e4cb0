// The figures of a run that a controller knows from its advice and its readings.
// One reason to change: a figure of the summary that comes from advice.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "controller/core/advice.hpp"
#include "controller/record/alarm_figures.hpp"
#include "controller/record/quality_figures.hpp"
#include "controller/record/run_summary.hpp"

namespace freshet::controller_process {

class RunCounts {
  public:
    void add(const core::Advice& advice);
    /// Returns the figures so far. `last` is the advice that the caller added last. The caller fills
    /// `wall_s` and names.
    record::RunSummary summary(const core::Advice& last, std::uint8_t pump_count) const;

  private:
    void add_event(const core::Event& event, std::int64_t now_ms);

    std::int64_t first_ms_ = core::never_ms;
    std::uint64_t scans_ = 0;
    std::uint32_t hand_overs_ = 0, take_backs_ = 0, starts_per_hour_max_ = 0, transfers_per_hour_max_ = 0;
    std::vector<std::int64_t> transfers_ms_;  ///< transfers of the last hour
    record::AlarmFigures alarms_;
    record::QualityFigures quality_;
    double measured_max_m_ = record::unknown, measured_min_m_ = record::unknown;
    std::array<core::PumpFigures, core::pumps_max> first_figures_{};
};

}  // namespace freshet::controller_process
