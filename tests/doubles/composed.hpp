// The advice of a state of the sequencer, without a controller around it.
// One reason to change: what the sequencer writes into the advice.
#pragma once

#include "controller/core/composing.hpp"
#include "controller/core/sequencer.hpp"

namespace freshet::doubles {

inline void compose(const core::SequencerState& state, const core::SequencerInputs& inputs, double demand_hz,
                    const core::Settings& settings, core::Advice& advice) {
    core::compose_contactors(state, settings, advice);
    core::SpeedReference reference;
    advice.speed_hz = core::composed_speed_hz(reference, state, inputs, demand_hz);
}

}  // namespace freshet::doubles
