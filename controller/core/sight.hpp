// The condensed state of the station in one scan.
// One reason to change: a value that every rule may use.
#pragma once

#include "controller/core/contradiction.hpp"
#include "controller/core/floats.hpp"
#include "controller/core/inputs.hpp"
#include "controller/core/need.hpp"
#include "controller/core/picture.hpp"
#include "controller/core/pressure_limit.hpp"
#include "controller/core/scan_clock.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/signals.hpp"

namespace freshet::core {

/// The state of the station in one scan, and the memory of its readings.
struct Sight {
    Picture picture;           ///< contactors, drive, line, selectors, motors
    TwoStateReader two_state;  ///< reads the two-state signals of the picture
    SignalRecords signals;
    double need_m = 0;  ///< the measured value as a need
    Floats floats;
    WaterWitness witness;  ///< the balance of the last second
    PressureLimit pressure;
    double station_flow_m3s = 0;  ///< of the station's flow meter
    bool station_flow_known = false;
    double area_m2 = 0;  ///< of the store at the measured value; renewed in the slow task

    /// The measured value of the duty, selected from its transmitters.
    const MeasuredValue& measured() const noexcept { return signals.measured; }
};

/// The state before the first scan.
Sight sight_of(const Settings& settings) noexcept;

/// Why a scan reads more than every scan does.
struct Attention {
    bool event_before = false;  ///< the scan before noted an event
    bool closely = false;       ///< a sequence is under way, or a motor current is missing
};

/// Renews the sight from the inputs of one scan. Returns true when the slow task must run before its second
/// is over, because a two-state signal, a selector, a motor, the state of the line or the quality of the measured
/// value changed, or because the scan before noted an event.
///
/// Motor currents and winding temperatures are read once a second, at every change, and in every scan while
/// `closely` is true. That is soon enough, because a winding warms over minutes, and a missing current is
/// judged in every scan.
bool see(Sight& sight, const Inputs& inputs, const Settings& settings, const NeedMarks& marks,
         const ScanTime& time, const Attention& attention) noexcept;

}  // namespace freshet::core
