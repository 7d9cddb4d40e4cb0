// Figures about the quality of the measured value.
#include "controller/record/quality_figures.hpp"

#include <gtest/gtest.h>

#include <string>
#include <utility>
#include <vector>

#include "tests/unit/record/invented_run.hpp"

namespace freshet::record {
namespace {

using core::Cause;
using core::Quality;
using invented::odd_ms;

/// A run whose measured value changes at given seconds.
class RunWithQualities {
  public:
    void turns(std::int64_t second, Quality quality, Cause cause = Cause::none) {
        core::Advice advice;
        advice.time_ms = odd_ms + 1000 * second;
        advice.measured_quality = quality;
        advice.measured_cause = cause;
        figures_.add(advice);
    }
    RunSummary ended_at(std::int64_t second) const {
        RunSummary summary;
        figures_.sum_up(summary, odd_ms, odd_ms + 1000 * second);
        return summary;
    }

  private:
    QualityFigures figures_;
};

using Causes = std::vector<std::pair<std::string, double>>;

TEST(QualityFigures, of_a_value_that_was_never_read_are_bad_throughout) {
    const RunSummary summary = RunWithQualities().ended_at(60);
    EXPECT_EQ(summary.measured_good_s, 0);
    EXPECT_EQ(summary.measured_bad_s, 60);
    EXPECT_EQ(summary.measured_not_good_s_by_cause, (Causes{{"never_read", 60}}));
}

TEST(QualityFigures, share_the_run_out_among_qualities_and_their_causes) {
    RunWithQualities run;
    run.turns(0, Quality::good);
    run.turns(10, Quality::uncertain, Cause::disagrees);
    run.turns(12, Quality::uncertain, Cause::disagrees);  // an event of something else
    run.turns(15, Quality::bad, Cause::stale);
    run.turns(22, Quality::good);
    run.turns(30, Quality::bad, Cause::stale);
    const RunSummary summary = run.ended_at(31);
    EXPECT_EQ(summary.measured_good_s, 18);
    EXPECT_EQ(summary.measured_uncertain_s, 5);
    EXPECT_EQ(summary.measured_bad_s, 8);
    EXPECT_EQ(summary.measured_not_good_s_by_cause, (Causes{{"stale", 8}, {"disagrees", 5}}));
}

}  // namespace
}  // namespace freshet::record
