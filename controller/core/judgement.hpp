// How a sequence fares in its step: whether it leaves the step, which way, and why.
// One reason to change: the order in which the ways out of a step are judged.
#pragma once

#include <array>

#include "controller/core/reasons.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/sequences.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// How one step of a run was judged.
struct Judgement {
    bool leave = false;
    bool straight = false;  ///< by what it waited for
    bool by_drive = false;  ///< a lost drive
    Way way;
    Reason why = Reason::none;
    std::array<double, 4> values{};
    AlarmRef alarm;
    /// What it waited for was read within the step, and is otherwise: only then the alarm is raised.
    bool denied = false;
};

/// Judges a run in its step. Pure; at most one step is left in a scan.
/// Order: pump lost, drive's bus met by the line, drive lost, synchronism lost, confirmed, time out.
Judgement judge(const Run& run, const SequencerState& state, const SequencerInputs& inputs,
                const Settings& settings) noexcept;

}  // namespace freshet::core
