// Staging: whether to bring a pump on, hand one over, take one back or let one go. One decision a scan.
// One reason to change: when the number of pumps changes.
#pragma once

#include <array>
#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/forecast.hpp"
#include "controller/core/need.hpp"
#include "controller/core/permissives.hpp"
#include "controller/core/picture.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Since when a ground for a decision has held. A ground that is not looked at in one decision begins anew in
/// the next: nobody knows what it did meanwhile.
struct StagingTimers {
    std::int64_t top_ms = never_ms, bottom_ms = never_ms, forecast_ms = never_ms, emptying_ms = never_ms,
                 pressure_ms = never_ms;
};

/// Timers and intentions that last from scan to scan.
struct StagingState {
    StagingTimers since;                    ///< empty after a decision that is carried out
    std::int64_t float_step_ms = never_ms;  ///< last step that a float brought
    std::int64_t wanted_ms = never_ms;      ///< since when the drive is free for it
    bool start_wanted = false;      ///< the second half of staging up: the drive is free, start the next
    bool take_back_wanted = false;  ///< the second half of staging down
    Reason wanted_why = Reason::none;
    std::array<double, 4> wanted_values{};
};

struct StagingInputs {
    NeedMarks marks;
    double value_m = 0, need_m = 0;
    double demand_hz = 0, lowest_hz = 0, highest_hz = 0;
    Service service = Service::hold;
    bool float_calls = false;  ///< the float that calls for pumps, held: the high one of a well, the low one
                               ///< of a tank that is filled
    double pressure_m = 0;     ///< in the header, where it is limited
    bool inflow_known = false;
    double inflow_m3s = 0, area_m2 = 0;
    StationPermit permit;
};

struct Decision {
    Intention intention = Intention::none;
    std::uint8_t pump = no_pump;
    Reason why = Reason::none;
    std::array<double, 4> values{};
    bool now = false;                ///< carry it out in this scan; otherwise it is what comes next
    std::int64_t countdown_ms = -1;  ///< while not now: time left if nothing changes; negative: not known
};

/// One decision. Called only while no main sequence is under way.
Decision decide(StagingState& staging, const SequencerState& state, const Picture& picture,
                const StagingInputs& inputs, const FlowTable& flows, const Settings& settings) noexcept;

/// Time that one more pump needs from now until it moves water, ms: ramp to line frequency, synchronising,
/// hand-over, and the start of the next.
std::int64_t bring_up_ms(const Settings& settings, double drive_hz, double next_minimum_hz) noexcept;

/// Time from now until a line pump runs on the drive, ms: the drive pump ramps down from `drive_hz` (zero:
/// the drive is free), the drive runs to line frequency, synchronises and takes it back.
std::int64_t let_go_ms(const Settings& settings, double drive_hz) noexcept;

}  // namespace freshet::core
