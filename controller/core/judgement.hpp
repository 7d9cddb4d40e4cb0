// Whether a sequence leaves its step, which way, and why.
// One reason to change: the order in which the ways out of a step are judged.
#pragma once

#include <array>

#include "controller/core/reasons.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/sequences.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// The result of judging the step of a run.
struct Judgement {
    bool leave = false;
    bool confirmed = false;  ///< the condition of the step is met
    bool by_drive = false;   ///< the drive is lost
    Way way;
    Reason why = Reason::none;
    std::array<double, 4> values{};
    AlarmRef alarm;
    /// A reading from within the step proves that the condition is not met. Only then a time-out raises its
    /// alarm.
    bool denied = false;
};

/// Judges a run in its step. Changes nothing. A run leaves at most one step in a scan. The judgement asks in
/// this order:
///   1. Is the pump lost?
///   2. Is the drive's bus connected to the line?
///   3. Is the drive lost?
///   4. Is synchronism lost?
///   5. Is the condition of the step met?
///   6. Is the time out?
Judgement judge(const Run& run, const SequencerState& state, const SequencerInputs& inputs,
                const Settings& settings) noexcept;

}  // namespace freshet::core
