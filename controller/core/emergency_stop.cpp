// The reset after an emergency stop; see the header.
#include "controller/core/emergency_stop.hpp"

namespace freshet::core {

namespace {

/// True in the scan that reads the reset button as pressed for the first time since its release.
bool is_new_press(EmergencyStop& stop, const Picture& picture) noexcept {
    const bool is_new = stop.button_let_go && picture.reset_pressed;
    if (picture.reset_pressed) stop.button_let_go = false;
    if (picture.reset_let_go) stop.button_let_go = true;
    return is_new;
}

}  // namespace

void renew_emergency_stop(EmergencyStop& stop, const Picture& picture, bool ordered,
                          Journal& journal) noexcept {
    const bool pressed = is_new_press(stop, picture);
    const bool asked = ordered || pressed;
    const StopState before = stop.state;
    if (picture.emergency_stop)
        stop.state = StopState::operated;
    else if (before == StopState::operated && picture.emergency_stop_released)
        stop.state = StopState::awaits_reset;
    if (!asked || stop.state == StopState::clear) return;
    if (before == StopState::awaits_reset && picture.emergency_stop_released) {
        stop.state = StopState::clear;
        journal.note(EventKind::emergency_stop_reset, static_cast<std::uint8_t>(Permissive::none), no_pump,
                     ordered ? Reason::reset_at_controller : Reason::reset_at_station);
        return;
    }
    const bool unread = !picture.emergency_stop && !picture.emergency_stop_released;
    journal.note(EventKind::reset_refused, static_cast<std::uint8_t>(Permissive::emergency_stop), no_pump,
                 unread ? Reason::emergency_stop_unread : Reason::emergency_stop);
}

Permissive why_stopped(const EmergencyStop& stop) noexcept {
    switch (stop.state) {
        case StopState::operated:
            return Permissive::emergency_stop;
        case StopState::awaits_reset:
            return Permissive::reset_awaited;
        case StopState::clear:
            break;
    }
    return Permissive::none;
}

}  // namespace freshet::core
