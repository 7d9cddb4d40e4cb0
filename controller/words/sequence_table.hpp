// Words for the sequence tables of the core: conditions, time limits, speeds.
// One reason to change: a condition or limit of core/sequences.hpp that comes, goes or is better named.
#pragma once

#include "controller/core/sequences.hpp"
#include "controller/words/word.hpp"

namespace freshet::words {

/// The texts complete "the controller waits until ...".
inline constexpr std::array<Word<core::Condition>, core::condition_count> conditions{{
    {core::Condition::drive_side_closed, "drive_side_closed", "the drive-side contactor is confirmed closed"},
    {core::Condition::drive_side_open, "drive_side_open", "the drive-side contactor is confirmed open"},
    {core::Condition::line_side_closed, "line_side_closed", "the line-side contactor is confirmed closed"},
    {core::Condition::line_side_open, "line_side_open", "the line-side contactor is confirmed open"},
    {core::Condition::output_closed, "output_closed", "the drive output is confirmed closed"},
    {core::Condition::output_open, "output_open", "the drive output is confirmed open"},
    {core::Condition::sides_open, "sides_open", "both contactors of the pump are confirmed open"},
    {core::Condition::drive_side_and_output_open, "drive_side_and_output_open",
     "the drive-side contactor and the drive output are confirmed open"},
    {core::Condition::at_minimum_flow, "at_minimum_flow", "the drive runs at minimum-flow speed or above"},
    {core::Condition::at_line_frequency, "at_line_frequency", "the drive runs at line frequency"},
    {core::Condition::in_sync, "in_sync",
     "the drive reports in sync and the sync check has agreed for its hold time"},
    {core::Condition::slow, "slow", "the drive has ramped down"},
    {core::Condition::drive_stopped, "drive_stopped", "the drive no longer runs"},
    {core::Condition::running_on_line, "running_on_line",
     "the line-side contactor is closed and motor current is seen"},
}};
static_assert(complete(conditions, core::condition_count), "every Condition needs its word, in order");

inline constexpr std::array<Word<core::Limit>, core::limit_count> limits{{
    {core::Limit::close, "close", "closing limit"},
    {core::Limit::open, "open", "opening limit"},
    {core::Limit::joining, "joining", "closing time limit, within the overlap limit"},
    {core::Limit::overlap, "overlap", "overlap limit, counted from the closing command"},
    {core::Limit::drive_start, "drive_start", "drive start and ramp to minimum-flow speed"},
    {core::Limit::line_ramp, "line_ramp", "ramp to line frequency and its margin"},
    {core::Limit::synchronise, "synchronise", "synchronising limit"},
    {core::Limit::stop_ramp, "stop_ramp", "ramp down and its margin"},
    {core::Limit::drive_stop, "drive_stop", "drive stopping limit"},
    {core::Limit::line_run, "line_run", "closing limit and current loss time"},
}};
static_assert(complete(limits, core::limit_count), "every Limit needs its word, in order");

inline constexpr std::array<Word<core::SpeedAdvice>, 3> speed_advices{{
    {core::SpeedAdvice::zero, "zero", "speed reference zero"},
    {core::SpeedAdvice::minimum_flow, "minimum_flow", "minimum-flow speed"},
    {core::SpeedAdvice::line_frequency, "line_frequency", "line frequency"},
}};
static_assert(complete(speed_advices, static_cast<std::size_t>(core::SpeedAdvice::line_frequency) + 1),
              "every SpeedAdvice needs its word, in order");

constexpr const Word<core::Condition>& word(core::Condition code) {
    return entry_of(conditions, code);
}
constexpr const Word<core::Limit>& word(core::Limit code) {
    return entry_of(limits, code);
}
constexpr const Word<core::SpeedAdvice>& word(core::SpeedAdvice code) {
    return entry_of(speed_advices, code);
}

}  // namespace freshet::words
