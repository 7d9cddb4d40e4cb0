// Our own synchronism check (device 25), beside the drive's claim.
// One reason to change: what is judged before two live sources are joined.
#pragma once

#include <cstdint>

#include "controller/core/inputs.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Drive output against line at one instant.
struct SyncReading {
    double slip_hz = 0;               ///< drive frequency less line frequency
    double voltage_ratio = 0;         ///< drive voltage less line voltage, over line voltage
    double angle_at_closing_deg = 0;  ///< where the angle will be when the contacts meet, -180..180
    bool usable = false;              ///< all readings good, young enough and of sense
    bool within = false;              ///< usable, and all three within their limits
};

/// Wraps an angle to -180..180 degrees. Valid for |angle_deg| up to 1e6; further out it returns 180 (refused
/// by every limit).
double wrapped_deg(double angle_deg) noexcept;

/// Judges drive against line for a contactor that takes `closing_ms` to meet. The angle is carried forward by
/// the slip over the age of the reading and the closing time: angle + 360 x slip x (age + closing). Bad, old
/// or senseless readings are not usable.
SyncReading read_sync(const DriveInputs& drive, const LineInputs& line, const Settings::SyncCheck& limits,
                      std::int32_t closing_ms, std::int64_t now_ms) noexcept;

}  // namespace freshet::core
