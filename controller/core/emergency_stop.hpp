// The emergency stop and its reset. A release alone starts nothing: first a person resets the emergency stop.
// One reason to change: what a reset is, and when a reset has an effect.
//
// Source: ISO 13850 and EN 60204-1, from memory: a released emergency stop must not start a machine, and only
// permits a start.
#pragma once

#include <cstdint>

#include "controller/core/journal.hpp"
#include "controller/core/picture.hpp"

namespace freshet::core {

/// How far the station has come after an emergency stop. In `operated` the emergency stop has not been read
/// as released since it was read as operated.
enum class StopState : std::uint8_t { clear, operated, awaits_reset };

/// The memory of the emergency stop between scans.
struct EmergencyStop {
    StopState state = StopState::clear;
    /// The reset button was read as not pressed after it was last read as pressed. A button that is held, or
    /// welded, therefore resets nothing a second time.
    bool button_let_go = false;
};

/// Renews the emergency stop for one scan. `ordered`: a person at the controller's panel resets in this scan.
/// A press of the reset button counts in the scan that reads the button as pressed for the first time.
///
/// A reset has an effect when an earlier scan has read the release, and this scan reads the emergency stop as
/// released, too. So no pump starts in the scan that reads the release. A reset that comes too early is
/// refused with an event. A reset without an emergency stop before is ignored.
void renew_emergency_stop(EmergencyStop& stop, const Picture& picture, bool ordered,
                          Journal& journal) noexcept;

/// Why the emergency stop forbids every start; `none`: the emergency stop does not forbid a start.
Permissive why_stopped(const EmergencyStop& stop) noexcept;

}  // namespace freshet::core
