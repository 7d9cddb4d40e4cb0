// Staging: whether a pump starts, is handed over to the line, is taken back from the line, or stops. One
// decision at a time.
// One reason to change: when the number of pumps changes.
#pragma once

#include <array>
#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/memo.hpp"
#include "controller/core/need.hpp"
#include "controller/core/permissives.hpp"
#include "controller/core/picture.hpp"
#include "controller/core/rotation.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// The station time since which each ground for a decision has held. When a decision does not judge a ground,
/// the time of that ground starts again, because nobody knows whether the ground held meanwhile.
struct StagingTimers {
    std::int64_t top_ms = never_ms, bottom_ms = never_ms, forecast_ms = never_ms, emptying_ms = never_ms,
                 pressure_ms = never_ms, float_ms = never_ms;
};

/// A combination at a need, for a flow that is read from the table once and then kept.
struct CombinationKey {
    std::size_t line_pumps = 0;
    double drive_hz = 0, need_m = 0;
    bool operator==(const CombinationKey&) const = default;
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
    bool stops_for_water = false;   ///< the staging stopped the drive pump last because the water needs less
    bool water_in_danger = false;   ///< see precedence.hpp
    bool harm_by_pressure = false;  ///< the last such stop was for the discharge pressure
    std::int64_t change_over_ms = never_ms;  ///< when a change-over last began
    std::int64_t harm_stop_ms = never_ms;    ///< last stop for the discharge pressure or by the low float
    Refusal refusal;                         ///< of the last decision
    Permissive yielding = Permissive::none;  ///< the limit that gave way last, while the water is in danger
    Memo<CombinationKey, double> full_m3s;   ///< by the curves; see full_flow_m3s
};

/// The volume balance, as the staging sees the water.
struct WaterView {
    bool inflow_known = false;
    double inflow_m3s = 0;  ///< estimated
    double rise_m3s2 = 0;   ///< how fast the inflow surely rises
    double doubt_m3s = 0;   ///< standard deviation of the estimate
    double pumped_m3s = 0;  ///< of the pumps that run now
    double volume_m3 = 0;   ///< that calls for pumping, without noise; see need_volume_m3
    double flow_ratio = 1;  ///< flow over the curves' flow, from the flow meter
    /// The inflow is at least this, m3/s.
    double at_least_m3s() const noexcept { return inflow_m3s - sure_deviations * doubt_m3s; }
    /// The inflow is at most this, m3/s.
    double at_most_m3s() const noexcept { return inflow_m3s + sure_deviations * doubt_m3s; }

  private:
    static constexpr double sure_deviations = 1.5;  ///< one inflow in fifteen lies beyond
};

struct DeliveryWatch;

/// The last known inflow, for the time in which no transmitter is believed.
struct KeptInflow {
    bool known = false;
    bool fresh = false;  ///< estimated so short a time ago that the inflow may start a pump
    bool calm = false;   ///< no float has called for the run-on time, so the inflow may stop a pump
    double inflow_m3s = 0, doubt_m3s = 0, age_s = 0;
};

/// The inputs of one decision.
struct StagingInputs {
    NeedMarks marks;
    double value_m = 0, need_m = 0;
    double demand_hz = 0, lowest_hz = 0, highest_hz = 0;
    bool draws = false;  ///< the drive pump moves the water from mark to mark; see fill_and_draw.hpp
    WaterMode mode = WaterMode::hold;
    Service service = Service::hold;
    bool float_calls = false;          ///< see Floats::calls
    bool float_urges = false;          ///< that float starts pumps without the run-on time
    bool float_against_level = false;  ///< that float calls although a transmitter shows less water
    double pressure_m = 0;             ///< head in the header, where the station limits it
    WaterView water;
    KeptInflow kept;
    StationPermit permit;
    const DeliveryWatch* delivery = nullptr;  ///< for the values of a reason alone
};

/// The result of one decision.
struct Decision {
    Intention intention = Intention::none;
    std::uint8_t pump = no_pump;
    Reason why = Reason::none;
    std::array<double, 4> values{};
    bool now = false;                ///< carry out in this scan; false: only announce
    std::int64_t countdown_ms = -1;  ///< time left if nothing changes; negative: not known
    Refusal refusal{};               ///< the limit that refuses more pumping, although it is wanted now
    Choice chosen{};                 ///< of a start: the pump, and why this pump
};

/// Makes one decision. Call only while no main sequence and no line start is under way.
Decision decide(StagingState& staging, const SequencerState& state, const Picture& picture,
                const StagingInputs& inputs, const FlowTable& flows, const Settings& settings) noexcept;

}  // namespace freshet::core
