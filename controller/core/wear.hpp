// Hours and starts of the pumps.
// One reason to change: which figures of wear the advice shows.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/picture.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Times of the figures.
struct Wear {
    std::int64_t hours_due_ms = 0;       ///< time that is not yet added to the pumps' hours
    std::int64_t figures_ms = never_ms;  ///< when the advice last got its figures
};

/// Adds the time since the last call to the hours of every pump that is seen energised.
void keep_hours(Wear& wear, SequencerState& sequencer, const Picture& picture,
                const Settings& settings) noexcept;

/// Writes the figures into the advice when `changed` is true, and once a minute.
void keep_figures(Wear& wear, const SequencerState& sequencer, bool changed, std::int64_t now_ms,
                  const Settings& settings, Advice& advice) noexcept;

}  // namespace freshet::core
