// Turns the state of the sequencer into advice on contactors and drive, and into pump states.
// One reason to change: how a state is shown as advice.
#pragma once

#include "controller/core/advice.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Writes the contactors, the drive and the pump states of the present state into the advice.
void compose_contactors(const SequencerState& state, const Settings& settings, Advice& advice) noexcept;

/// The speed reference of the present state, Hz: the speed of the step under way, or `demand_hz` while a pump
/// runs steadily on the drive, or zero.
double composed_speed_hz(const SequencerState& state, const SequencerInputs& inputs,
                         double demand_hz) noexcept;

/// Rounds a speed to the nearest 0.01 Hz, as the advice shows it. Limits the speed to 0 ..
/// speed_reference_max_hz, which no pump's drive reaches. NaN becomes zero.
inline constexpr double speed_reference_max_hz = 650;
double speed_reference_hz(double speed_hz) noexcept;

}  // namespace freshet::core
