// Words for sequences, their steps, and kinds of events.
// One reason to change: a sequence, step or kind of event of reasons.hpp that comes, goes or is better named.
#pragma once

#include "controller/core/reasons.hpp"
#include "controller/words/word.hpp"

namespace freshet::words {

inline constexpr std::array<Word<core::Sequence>, static_cast<std::size_t>(core::Sequence::count)> sequences{{
    {core::Sequence::none, "none", "no sequence"},
    {core::Sequence::start_on_drive, "start_on_drive", "start on the drive"},
    {core::Sequence::hand_over, "hand_over", "hand-over to the line"},
    {core::Sequence::take_back, "take_back", "take-back to the drive"},
    {core::Sequence::stop_on_drive, "stop_on_drive", "stop on the drive"},
    {core::Sequence::stop_from_line, "stop_from_line", "stop from the line"},
    {core::Sequence::line_start, "line_start", "start on the line"},
}};
static_assert(complete(sequences, static_cast<std::size_t>(core::Sequence::count)),
              "every Sequence needs its word, in order");

/// The texts complete "the controller is ...".
inline constexpr std::array<Word<core::Step>, static_cast<std::size_t>(core::Step::count)> steps{{
    {core::Step::idle, "idle", "in no sequence"},
    {core::Step::start_close_drive_side, "start_close_drive_side", "closing the drive-side contactor"},
    {core::Step::start_close_output, "start_close_output", "closing the drive output contactor"},
    {core::Step::start_run, "start_run", "running the drive up to minimum-flow speed"},
    {core::Step::over_line_frequency, "over_line_frequency", "bringing the motor to line frequency"},
    {core::Step::over_synchronise, "over_synchronise", "matching the drive to the line"},
    {core::Step::over_close_line_side, "over_close_line_side", "closing the line-side contactor in sync"},
    {core::Step::over_open_output, "over_open_output", "opening the drive output to end the overlap"},
    {core::Step::over_open_drive_side, "over_open_drive_side",
     "opening the drive-side contactor to free the drive"},
    {core::Step::over_withdraw_line_side, "over_withdraw_line_side",
     "withdrawing the hand-over and making sure that the line-side contactor is open"},
    {core::Step::over_fallback_drive_side, "over_fallback_drive_side",
     "opening the drive-side contactor instead, because the drive output did not open"},
    {core::Step::back_close_output, "back_close_output",
     "closing the drive output with no motor on the drive"},
    {core::Step::back_line_frequency, "back_line_frequency",
     "running the drive to line frequency without a motor"},
    {core::Step::back_synchronise, "back_synchronise", "matching the drive to the line"},
    {core::Step::back_close_drive_side, "back_close_drive_side", "closing the drive-side contactor in sync"},
    {core::Step::back_open_line_side, "back_open_line_side",
     "opening the line-side contactor to end the overlap"},
    {core::Step::back_withdraw_drive_side, "back_withdraw_drive_side",
     "withdrawing the take-back by opening the drive-side contactor, so that the motor stays on the line"},
    {core::Step::back_withdraw_stop, "back_withdraw_stop",
     "withdrawing the take-back by stopping the drive, which feeds no motor"},
    {core::Step::back_withdraw_output, "back_withdraw_output",
     "withdrawing the take-back by opening the drive output"},
    {core::Step::stop_ramp, "stop_ramp", "ramping the pump down"},
    {core::Step::stop_drive, "stop_drive", "stopping the drive"},
    {core::Step::stop_open_output, "stop_open_output", "opening the drive output"},
    {core::Step::stop_open_drive_side, "stop_open_drive_side", "opening the drive-side contactor"},
    {core::Step::line_stop_open, "line_stop_open", "opening the line-side contactor"},
    {core::Step::line_start_close, "line_start_close", "closing the line-side contactor on a motor at rest"},
    {core::Step::line_start_withdraw, "line_start_withdraw",
     "withdrawing the start by opening the line-side contactor"},
}};
static_assert(complete(steps, static_cast<std::size_t>(core::Step::count)),
              "every Step needs its word, in order");

inline constexpr std::array<Word<core::EventKind>, static_cast<std::size_t>(core::EventKind::count)>
    event_kinds{{
        {core::EventKind::sequence_begun, "sequence_begun", "sequence begun"},
        {core::EventKind::step_entered, "step_entered", "step entered"},
        {core::EventKind::sequence_done, "sequence_done", "sequence done"},
        {core::EventKind::sequence_withdrawn, "sequence_withdrawn", "sequence withdrawn"},
        {core::EventKind::pump_state, "pump_state", "pump state"},
        {core::EventKind::service, "service", "service"},
        {core::EventKind::measured_quality, "measured_quality", "quality of the measured value"},
        {core::EventKind::alarm_raised, "alarm_raised", "alarm raised"},
        {core::EventKind::alarm_returned, "alarm_returned", "alarm returned to normal"},
        {core::EventKind::protective_stop, "protective_stop", "protective stop"},
        {core::EventKind::alarm_acknowledged, "alarm_acknowledged", "alarm acknowledged"},
        {core::EventKind::alarm_shelved, "alarm_shelved", "alarm shelved"},
        {core::EventKind::alarm_unshelved, "alarm_unshelved", "alarm no longer shelved"},
        {core::EventKind::alarm_out_of_service, "alarm_out_of_service", "alarm out of service"},
        {core::EventKind::alarm_in_service, "alarm_in_service", "alarm in service again"},
        {core::EventKind::refused, "refused", "more pumping refused"},
        {core::EventKind::limit_yielded, "limit_yielded", "a limit gave way"},
        {core::EventKind::emergency_stop_reset, "emergency_stop_reset", "emergency stop reset"},
        {core::EventKind::reset_refused, "reset_refused", "reset refused"},
        {core::EventKind::pump_chosen, "pump_chosen", "pump chosen"},
        {core::EventKind::water_mode, "water_mode", "what the duty asks of the water"},
    }};
static_assert(complete(event_kinds, static_cast<std::size_t>(core::EventKind::count)),
              "every EventKind needs its word, in order");

constexpr const Word<core::Sequence>& word(core::Sequence code) {
    return entry_of(sequences, code);
}
constexpr const Word<core::Step>& word(core::Step code) {
    return entry_of(steps, code);
}
constexpr const Word<core::EventKind>& word(core::EventKind code) {
    return entry_of(event_kinds, code);
}

}  // namespace freshet::words
