// The input of the core's scan for each signal of the dictionary.
// One reason to change: a new signal or a new input.
#pragma once

#include <cstdint>
#include <optional>

#include "config/signals.hpp"
#include "controller/core/inputs.hpp"

namespace freshet::modbus {

/// The members of the inputs that a signal fills. Exactly one of `number`, `on` and `selector` is set.
struct InputTarget {
    double* number = nullptr;
    bool* on = nullptr;
    core::Selector* selector = nullptr;
    std::int32_t* age_ms = nullptr;
    core::Quality* quality = nullptr;
    core::Cause* cause = nullptr;
};

/// Empty for the plant's clock, which is not an input of the core. `inputs` must outlive the target.
std::optional<InputTarget> target_of(core::Inputs& inputs, config::SignalIndex signal);

}  // namespace freshet::modbus
