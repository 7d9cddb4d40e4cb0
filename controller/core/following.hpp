// How the speed of the drive pump follows the inflow and the need.
// One reason to change: which speed the drive pump gets.
//
// The pumps must carry the estimated inflow, and bring the value back into the deadband:
//
//     wanted flow = inflow + 2 x area x (need beyond the deadband) / arrest time
//
// The speed follows from the wanted flow through the curves. After a step of inflow the value returns with
// half the arrest time as its time constant, as soon as the estimate knows the step. Noise of the estimate does not
// move the speed, because the speed changes by more than a slack only. After a minute outside the deadband the slack
// is nearly zero, so that the value returns into the deadband to the end. Near the limits:
//
//   - In the band that no combination holds, the drive pump draws at its minimum flow and is not trimmed,
//     so that the store lasts as long as possible. Past the stage-up mark the trim returns.
//   - From the stage-up mark to the high mark the speed rises at least in proportion, up to full speed.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/balance.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"
#include "controller/core/water_duty.hpp"

namespace freshet::core {

/// The demand, and the pump and service that it follows.
struct Following {
    double speed_hz = 0;          ///< the demand
    double aim_hz = 0;            ///< where the demand moves to; zero: the minimum-flow speed of each scan
    std::uint8_t pump = no_pump;  ///< the pump whose speed the demand sets
    std::int64_t trimmed_ms = never_ms;  ///< since when the value has been outside the deadband
};

/// Aims the speed, once a second, after the balance. `lowest_hz` is the minimum-flow speed, Hz. While the duty
/// draws, the speed is that of the draw, down to the lower mark of the draw. While a booster sleeps, the speed is
/// the minimum-flow speed. Past the stage-up mark the speed is at least what the pump would run at without the
/// duty.
/// In service `floats` the aim is the last known inflow. After a float has called, the aim is the highest speed
/// for the run-on time.
void aim(Following& following, const Sight& sight, const Balance& balance, Service service, double lowest_hz,
         const WaterDuty& duty, const FlowTable& flows, const Settings& settings) noexcept;

/// Moves the demand towards its aim in one scan, at most by Settings::demand.rate_max_hz_s. While no pump
/// runs steadily on the drive, the demand does not change. When a pump comes onto the drive, the demand
/// starts at the drive's present speed, so that the speed does not jump. While a float calls for pumps, the
/// speed rises to the highest. In service `hold` the speed stays. At the limit of the discharge pressure
/// the speed may fall but not rise. `elapsed_s` is the time since the last scan, s.
void follow(Following& following, const Sight& sight, const SequencerState& sequencer, Service service,
            double lowest_hz, double elapsed_s, const Settings& settings) noexcept;

}  // namespace freshet::core
