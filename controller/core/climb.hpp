// How high the store would rise if the next pumps came on one after another from now.
// One reason to change: how the time and the flow of a step to more pumps are foreseen.
#pragma once

#include <cstdint>

#include "controller/core/flow_table.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// The time from now until one more pump moves water, ms. The drive ramps from `drive_hz` to line frequency,
/// synchronises, hands its pump over, and starts the next pump up to `next_minimum_hz`.
std::int64_t bring_up_ms(const Settings& settings, double drive_hz, double next_minimum_hz) noexcept;

/// The time from now until a line pump runs on the drive, ms. The drive pump ramps down from `drive_hz`
/// (zero: the drive is free). Then the drive runs up to line frequency, synchronises, and takes the line pump
/// back.
std::int64_t take_back_ms(const Settings& settings, double drive_hz) noexcept;

/// The time from now until a pump on the free drive reaches `minimum_hz`, ms.
std::int64_t start_on_drive_ms(const Settings& settings, double minimum_hz) noexcept;

/// Where a climb begins.
struct ClimbStart {
    std::size_t line_pumps = 0;
    double drive_hz = 0;         ///< speed of the drive pump; zero: the drive is free
    std::size_t pumps_left = 0;  ///< how many idle pumps may still start
    double inflow_m3s = 0;       ///< now
    double rise_m3s2 = 0;        ///< how fast the inflow rises, taken as constant
    double volume_m3 = 0;        ///< that calls for pumping, now
    double value_m = 0;          ///< measured value at which the flows count
    double margin = 1;           ///< by which every time is lengthened
    double flow_ratio = 1;       ///< flow over the curves' flow
};

/// What a climb reaches.
struct Climb {
    double peak_m3 = 0;       ///< greatest volume on the way
    double capacity_m3s = 0;  ///< greatest flow of the last combination
    bool carries = false;     ///< that flow carries the inflow
};

/// Foresees a climb without pause, until what runs carries the inflow or no pump is left.
Climb foresee_climb(const ClimbStart& start, const FlowTable& flows, const Settings& settings) noexcept;

}  // namespace freshet::core
