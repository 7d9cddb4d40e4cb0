// A float switch: its level, its differential, and how the float fails.
// One reason to change: how a float switches, or fails.
//
// Units: m above the station datum. Valid: differential zero or more. Source of a differential against waves:
// common practice.
#pragma once

#include "config/scenario.hpp"

namespace freshet::plant {

/// A float that is on above its level. The float turns on when the level is half the differential above the
/// float's level, and off when the level is half the differential below, so that waves do not make the
/// contact chatter. Leaves out: the swing of the float, the cable's length.
class Float {
  public:
    /// `level_m` above the station datum. `differential_m` is zero or more. The float is off at the start.
    constexpr Float(double level_m, double differential_m)
        : on_at_m_(level_m + 0.5 * differential_m), off_at_m_(level_m - 0.5 * differential_m) {}

    /// One step: takes the true level, returns the contact. The float inside a stuck contact still follows
    /// the level, so that the contact is right as soon as the fault ends.
    constexpr bool step(double level_m) {
        floating_ = level_m >= on_at_m_ || (floating_ && level_m > off_at_m_);
        shown_ = stuck_ ? shown_ : floating_;
        return shown_;
    }

    /// Sets stuck_on, stuck_off, `frozen` (the contact keeps its state) or `dead` (a broken wire: the contact
    /// reads as off). False when a float cannot have this fault.
    constexpr bool set_fault(config::FaultKind kind) {
        switch (kind) {
            case config::FaultKind::stuck_on:
                shown_ = true;
                break;
            case config::FaultKind::dead:
            case config::FaultKind::stuck_off:
                shown_ = false;
                break;
            case config::FaultKind::frozen:
                break;
            default:
                return false;
        }
        stuck_ = true;
        return true;
    }
    constexpr void clear_fault() { stuck_ = false; }

  private:
    double on_at_m_, off_at_m_;
    bool floating_ = false, shown_ = false, stuck_ = false;
};

}  // namespace freshet::plant
