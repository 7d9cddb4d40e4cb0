// A float switch: a level, a differential, and the ways in which it fails.
// One reason to change: how a float switches, or fails.
//
// Units: m above the station datum. Valid: differential not negative. Source of a differential against waves:
// common practice.
#pragma once

#include "config/scenario.hpp"

namespace freshet::plant {

/// On above its level. It turns on when the level rises half the differential above, and off when the level
/// falls half the differential below, so that waves do not make it chatter. Left out: the swing of the float,
/// the cable's length.
class Float {
  public:
    /// `level_m` above the station datum; `differential_m` not negative. Starts off.
    constexpr Float(double level_m, double differential_m)
        : on_at_m_(level_m + 0.5 * differential_m), off_at_m_(level_m - 0.5 * differential_m) {}

    /// One step: true level in, contact out. A stuck float still follows inside, so that its contact is right
    /// as soon as the float is free.
    constexpr bool step(double level_m) {
        floating_ = level_m >= on_at_m_ || (floating_ && level_m > off_at_m_);
        shown_ = stuck_ ? shown_ : floating_;
        return shown_;
    }

    /// stuck_on, stuck_off; `frozen` holds the contact as it is; `dead` is a broken wire and reads as not
    /// floating. False when the kind is not one of a float's.
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
