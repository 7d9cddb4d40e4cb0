// What every rule of the staging goes by: the pumps, the drive, the water, and since when grounds have held.
// One reason to change: something more that a rule of the staging must know.
#pragma once

#include <cstdint>

#include "controller/core/permissives.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/staging.hpp"

namespace freshet::core {

/// A forecast must hold for so long, because one odd reading is not water.
inline constexpr std::int64_t forecast_hold_ms = 3000;

inline double as_double(std::int64_t value) noexcept {
    return static_cast<double>(value);
}

inline PumpMask pumps_in(const SequencerState& state, PumpState wanted, const Settings& settings) noexcept {
    PumpMask mask = 0;
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
        if (state.pumps[pump].state == wanted) mask = static_cast<PumpMask>(mask | bit_of(pump));
    return mask;
}

/// Line pumps that have run long enough to be stopped or taken back.
inline PumpMask releasable(const SequencerState& state, const Settings& settings,
                           std::int64_t now_ms) noexcept {
    PumpMask mask = 0;
    std::int64_t wait_ms = 0;
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
        if (state.pumps[pump].state == PumpState::on_line &&
            why_not_stop(state, settings, pump, now_ms, wait_ms) == Permissive::none)
            mask = static_cast<PumpMask>(mask | bit_of(pump));
    return mask;
}

/// Idle pumps that may start now.
inline PumpMask startable(const SequencerState& state, const Picture& picture, const StationPermit& permit,
                          const Settings& settings, bool by_line) noexcept {
    PumpMask mask = 0;
    std::int64_t wait_ms = 0;
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
        if (state.pumps[pump].state == PumpState::off &&
            why_not_start(state, picture, permit, settings, pump, by_line, wait_ms) == Permissive::none)
            mask = static_cast<PumpMask>(mask | bit_of(pump));
    return mask;
}

struct Situation {
    const SequencerState& state;
    const Picture& picture;
    const StagingInputs& inputs;
    const FlowTable& flows;
    const Settings& settings;
    const StagingTimers& before;  ///< as they stood when the decision began
    /// The drive may be used, and no contactor of its bus is closed.
    bool drive_usable() const noexcept {
        return why_no_drive(state, picture) == Permissive::none && drive_is_free(picture, settings);
    }
    /// ... and it stands, so that it can take a motor now.
    bool drive_free() const noexcept { return drive_usable() && drive_can_take(picture, settings); }
    /// Seen on the line, whoever put them there, and not being stopped.
    int line_pumps() const noexcept {
        int pumps = picture.on_line;
        for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
            if (state.line_stop[pump].step != Step::idle && has(picture.line_side_closed, pump)) --pumps;
        return pumps;
    }
    PumpMask may_start(bool by_line) const noexcept {
        return startable(state, picture, inputs.permit, settings, by_line);
    }
    /// For how long `condition` has held, ms; negative: it does not. `since` are the timers of this decision.
    std::int64_t held_ms(StagingTimers& since, std::int64_t StagingTimers::*timer,
                         bool condition) const noexcept {
        if (!condition) return -1;
        since.*timer = before.*timer == never_ms ? picture.time_ms : before.*timer;
        return picture.time_ms - since.*timer;
    }
    /// Puts off a transfer that is not permitted now, and says for how long.
    void put_off_transfer(Decision& decision) const noexcept {
        std::int64_t wait_ms = 0;
        if (why_no_transfer(state, picture, inputs.permit, settings, wait_ms) == Permissive::none) return;
        decision.now = false;
        decision.countdown_ms = wait_ms > 0 ? wait_ms : -1;
    }
};
/// The float that calls for pumps, by the duty's sense.
inline Reason float_reason(const Situation& at) noexcept {
    return at.settings.action == Action::direct ? Reason::high_float : Reason::low_float;
}

}  // namespace freshet::core
