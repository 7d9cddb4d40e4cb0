// The situation that every rule of the staging judges: the pumps, the drive, the water, and how long each
// ground has held.
// One reason to change: a value that a rule of the staging needs.
#pragma once

#include <cstdint>

#include "controller/core/permissives.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/staging.hpp"

namespace freshet::core {

/// A forecast must hold for this time, because one odd reading proves nothing.
inline constexpr std::int64_t forecast_hold_ms = 3000;

inline double as_double(std::int64_t value) noexcept {
    return static_cast<double>(value);
}

/// The pumps in state `wanted`.
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

/// The situation of one decision.
struct Situation {
    const SequencerState& state;
    const Picture& picture;
    const StagingInputs& inputs;
    const FlowTable& flows;
    const Settings& settings;
    const StagingTimers& before;  ///< the timers after the last decision
    /// True when the drive may be used and every contactor of its bus is read open.
    bool drive_usable() const noexcept {
        return why_no_drive(state, picture) == Permissive::none && drive_is_free(picture, settings);
    }
    /// True when the drive is usable and stopped, so that it can take a motor now.
    bool drive_free() const noexcept { return drive_usable() && drive_can_take(picture, settings); }
    /// How many pumps run on the line, without those that are being stopped. Pumps that people started count,
    /// too.
    int line_pumps() const noexcept {
        int pumps = picture.on_line;
        for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
            if (state.line_run[pump].step != Step::idle && state.pumps[pump].state == PumpState::stopping &&
                has(picture.line_side_closed, pump))
                --pumps;
        return pumps;
    }
    /// Idle pumps that may start now, on the line or on the drive.
    PumpMask may_start(bool by_line) const noexcept {
        if (by_line && !line_start_serves(state, picture, settings)) return 0;
        return startable(state, picture, inputs.permit, settings, by_line);
    }
    /// How long `condition` has held, ms; -1 while it does not hold. `since` holds the timers of this
    /// decision.
    std::int64_t held_ms(StagingTimers& since, std::int64_t StagingTimers::*timer,
                         bool condition) const noexcept {
        if (!condition) return -1;
        since.*timer = before.*timer == never_ms ? picture.time_ms : before.*timer;
        return picture.time_ms - since.*timer;
    }
    /// Postpones a transfer that is not permitted now. The countdown then is the time left, or -1 when that
    /// is not known.
    void postpone_transfer(Decision& decision) const noexcept {
        std::int64_t wait_ms = 0;
        if (why_no_transfer(state, picture, inputs.permit, settings, wait_ms) == Permissive::none) return;
        decision.now = false;
        decision.countdown_ms = wait_ms > 0 ? wait_ms : -1;
    }
};
/// The reason of a float that calls for pumps: the high float of a well, the low float of a tank.
inline Reason float_reason(const Situation& at) noexcept {
    return at.settings.action == Action::direct ? Reason::high_float : Reason::low_float;
}

}  // namespace freshet::core
