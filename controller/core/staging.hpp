// Staging: whether a pump starts, is handed over to the line, is taken back from the line, or stops. One
// decision at a time.
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

/// The station time since which each ground for a decision has held. When a decision does not judge a ground,
/// the time of that ground starts again, because nobody knows whether the ground held meanwhile.
struct StagingTimers {
    std::int64_t top_ms = never_ms, bottom_ms = never_ms, forecast_ms = never_ms, emptying_ms = never_ms,
                 pressure_ms = never_ms;
};

/// The memory of the staging between decisions.
struct StagingState {
    StagingTimers since;                          ///< empty after a decision that is carried out
    std::int64_t last_float_step_ms = never_ms;   ///< when a float last started a change
    std::int64_t drive_free_since_ms = never_ms;  ///< since when the drive has been free
    bool start_wanted = false;      ///< second half of staging up: start the next pump on the free drive
    bool take_back_wanted = false;  ///< second half of staging down: take a line pump back
    Reason wanted_why = Reason::none;
    std::array<double, 4> wanted_values{};
};

/// The inputs of one decision.
struct StagingInputs {
    NeedMarks marks;
    double value_m = 0, need_m = 0;
    double demand_hz = 0, lowest_hz = 0, highest_hz = 0;
    Service service = Service::hold;
    bool float_calls = false;  ///< see Floats::calls
    double pressure_m = 0;     ///< head in the header, where the station limits it
    bool inflow_known = false;
    double inflow_m3s = 0, area_m2 = 0;
    StationPermit permit;
};

/// The result of one decision.
struct Decision {
    Intention intention = Intention::none;
    std::uint8_t pump = no_pump;
    Reason why = Reason::none;
    std::array<double, 4> values{};
    bool now = false;                ///< carry out in this scan; false: only announce
    std::int64_t countdown_ms = -1;  ///< time left if nothing changes; negative: not known
};

/// Makes one decision. Call only while no main sequence and no line start is under way.
Decision decide(StagingState& staging, const SequencerState& state, const Picture& picture,
                const StagingInputs& inputs, const FlowTable& flows, const Settings& settings) noexcept;

/// The time from now until one more pump moves water, ms. The drive ramps from `drive_hz` to line frequency,
/// synchronises, hands its pump over, and starts the next pump up to `next_minimum_hz`.
std::int64_t bring_up_ms(const Settings& settings, double drive_hz, double next_minimum_hz) noexcept;

/// The time from now until a line pump runs on the drive, ms. The drive pump ramps down from `drive_hz`
/// (zero: the drive is free). Then the drive runs up to line frequency, synchronises, and takes the line pump
/// back.
std::int64_t take_back_ms(const Settings& settings, double drive_hz) noexcept;

}  // namespace freshet::core
