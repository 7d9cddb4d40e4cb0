// How long the measured value of a run was good, uncertain and bad, and why.
// One reason to change: a figure about data quality in the summary of every run.
#pragma once

#include <array>
#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/record/run_summary.hpp"
#include "controller/words/states.hpp"

namespace freshet::record {

/// Reads every scan with events and sums up. Before the first event the value is bad, because the
/// controller has not read the value yet.
class QualityFigures {
  public:
    void add(const core::Advice& advice);

    /// Writes the figures of a run. `first_ms` and `last_ms` are the station times of the first and the last
    /// scan.
    void sum_up(RunSummary& summary, std::int64_t first_ms, std::int64_t last_ms) const;

  private:
    static constexpr std::size_t qualities = 3, causes = words::quality_causes.size();
    struct Spans {
        std::array<std::int64_t, qualities> by_quality_ms{};
        std::array<std::int64_t, causes> by_cause_ms{};  ///< time for which the value was not good
        void add(core::Quality quality, core::Cause cause, std::int64_t span_ms);
    };

    Spans spans_;  ///< the sums of the spans that have ended
    core::Quality quality_ = core::Quality::bad;
    core::Cause cause_ = core::Cause::never_read;
    std::int64_t first_change_ms_ = core::never_ms, since_ms_ = core::never_ms;
};

}  // namespace freshet::record
