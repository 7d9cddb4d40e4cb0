// The controller's own synchronism check (device 25), in addition to the drive's report.
// One reason to change: a value that is judged before two live sources are connected.
#pragma once

#include <cstdint>

#include "controller/core/inputs.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// The drive output compared with the line at one instant.
struct SyncReading {
    double slip_hz = 0;               ///< drive frequency less line frequency
    double voltage_ratio = 0;         ///< drive voltage less line voltage, over line voltage
    double angle_at_closing_deg = 0;  ///< where the angle will be when the contacts meet, -180..180
    bool usable = false;              ///< all readings are good, recent and plausible
    bool within = false;              ///< usable, and all three within their limits
};

/// Wraps an angle to -180..180 degrees. Returns 180, which every limit refuses, for NaN and for |angle_deg|
/// above 1e6.
double wrapped_deg(double angle_deg) noexcept;

/// Compares the drive with the line for a contactor whose contacts meet after `closing_ms`. The slip carries
/// the angle forward over the age of its reading and the closing time:
///
///     angle at closing = angle + 360 x slip x (age + closing time)
///
/// in degrees, Hz and seconds (definition of frequency). Bad, old or senseless readings are not usable.
SyncReading read_sync(const DriveInputs& drive, const LineInputs& line, const Settings::SyncCheck& limits,
                      std::int32_t closing_ms) noexcept;

}  // namespace freshet::core
