// What the controller sees of its station in one scan, condensed. One reason to change: something more that
// every rule may look at.
#pragma once

#include "controller/core/floats.hpp"
#include "controller/core/inputs.hpp"
#include "controller/core/need.hpp"
#include "controller/core/picture.hpp"
#include "controller/core/pressure_limit.hpp"
#include "controller/core/scan_clock.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/signals.hpp"

namespace freshet::core {

struct Sight {
    Picture picture;           ///< contactors, drive, line, selectors, motors
    TwoStateReader two_state;  ///< what the picture's two-state signals were made from
    SignalRecords signals;
    double need_m = 0;  ///< the measured value as a need
    Floats floats;
    PressureLimit pressure;
    double area_m2 = 0;  ///< of the store at the measured value; renewed in the slow task

    /// The duty's value, selected from its transmitters.
    const MeasuredValue& measured() const noexcept { return signals.measured; }
};

Sight sight_of(const Settings& settings) noexcept;

/// How this scan is to look.
struct Attention {
    bool event_before = false;  ///< the scan before noted an event
    bool closely = false;       ///< a sequence is under way, or a motor current is missing
};

/// Renews what is seen. True when the slow task has something to look at before its second is over: a
/// two-state signal, a selector or a motor changed, or the scan before noted an event.
///
/// Motor currents and winding temperatures are read once a second, and in every scan while `closely`: a
/// steady motor warms over minutes, and a current that is missing is judged after `current_loss_ms`.
bool see(Sight& sight, const Inputs& inputs, const Settings& settings, const NeedMarks& marks,
         const ScanTime& time, Attention attention) noexcept;

}  // namespace freshet::core
