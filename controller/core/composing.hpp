// Turns the state of the sequencer into advice on contactors and drive, and into pump states.
// One reason to change: how a state is shown as advice.
#pragma once

#include "controller/core/advice.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Rounds a speed to the nearest 0.01 Hz, as the advice shows it. Limits the speed to 0 ..
/// speed_reference_max_hz, which no pump's drive reaches. NaN becomes zero.
inline constexpr double speed_reference_max_hz = 650;
double speed_reference_hz(double speed_hz) noexcept;

/// The last reference, together with the hundredths of a Hz that it stands for. A demand moves slowly, so most
/// scans round to the same reference, and comparing is faster than dividing.
class SpeedReference {
  public:
    /// The same as speed_reference_hz.
    double of_hz(double speed_hz) noexcept;

  private:
    double hundredths_ = 0;
    double reference_hz_ = 0;
};

/// Writes the contactors, the drive and the pump states of the present state into the advice.
void compose_contactors(const SequencerState& state, const Settings& settings, Advice& advice) noexcept;

/// The speed reference of the present state, Hz: the speed of the step under way, or `demand_hz` while a pump
/// runs steadily on the drive, or zero.
double composed_speed_hz(SpeedReference& reference, const SequencerState& state,
                         const SequencerInputs& inputs, double demand_hz) noexcept;

}  // namespace freshet::core
