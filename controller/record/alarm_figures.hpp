// The alarms of a run in the figures by which alarm systems are judged (ISA-18.2 / IEC 62682).
// One reason to change: a figure about alarms in the summary of every run.
#pragma once

#include <array>
#include <cstdint>
#include <deque>

#include "controller/core/advice.hpp"
#include "controller/record/run_summary.hpp"

namespace freshet::record {

/// Reads every scan with events and sums up. The same alarm of two pumps counts as two alarms. The summary
/// uses one name for all pumps.
class AlarmFigures {
  public:
    void add(const core::Advice& advice);

    /// Writes the alarm figures of a run that ended at `now_ms`.
    void sum_up(RunSummary& summary, std::int64_t now_ms) const;

    static constexpr std::int64_t window_ms = 600'000;
    /// A flood begins when ten minutes have more than `flood_begins` alarms. The flood ends when ten minutes
    /// have fewer than `flood_ends` alarms.
    static constexpr std::size_t flood_begins = 10, flood_ends = 5;
    static constexpr std::size_t chatters = 3;  ///< an alarm raised so often within a minute chatters
    static constexpr std::int64_t chatter_ms = 60'000;
    static constexpr std::int64_t stale_ms = 24 * 3'600'000LL;

  private:
    struct One {
        std::uint32_t raised = 0;
        std::int64_t since_ms = core::never_ms;  ///< the alarm is active since this instant
        std::int64_t longest_ms = 0;
        std::array<std::int64_t, chatters> raised_at_ms = [] {
            std::array<std::int64_t, chatters> none{};
            none.fill(core::never_ms);
            return none;
        }();
        bool chattered = false;
        std::int64_t stood_ms(std::int64_t now_ms) const;
    };
    static constexpr std::size_t codes_max = 32, stations_and_pumps = 1 + core::pumps_max;

    One& alarm_of(const core::Event& event);
    void raise(One& alarm, std::int64_t now_ms);
    void forget_before(std::int64_t now_ms);

    std::array<std::array<One, codes_max>, stations_and_pumps> alarms_;  ///< the station's, then each pump's
    std::deque<std::int64_t> recent_ms_;                                 ///< alarms of the last window
    std::uint32_t raised_ = 0, floods_ = 0;
    std::size_t peak_ = 0;
    bool flood_ = false;
};

}  // namespace freshet::record
