// Each witness of the water lies, one way or the other, in closed loop with the plant. With two transmitters no
// single liar lets water over the weir or runs a pump dry.
// One reason to change: a lie, or the figure that a lie may cost.
#include <gtest/gtest.h>

#include <array>
#include <ostream>
#include <string>
#include <vector>

#include "tests/property/operator_cases/watched_run.hpp"

namespace freshet::operator_cases {
namespace {

using config::FaultKind;

struct Lie {
    const char* name;
    const char* device;
    FaultKind kind;
    double amount, lasts_s;
    /// What the lie may cost in three hours at a station with one transmitter: the figures of the present
    /// controller. The aim is no overflow and six starts.
    int mild_starts_max;
    double mild_overflow_max_m3, storm_overflow_max_m3;
    /// Nothing tells two transmitters apart that drift apart slowly, so the higher counts until the low float stops
    /// the pumps.
    bool is_stopped_by_low_float = false;
};

/// The lies begin at 30 min. A drift of 1 mm/s passes the whole range within two hours.
constexpr std::array lies{
    Lie{"transmitter_jumps_up", "level_1", FaultKind::offset, 2.0, 0, 4, 0, 44},
    Lie{"transmitter_jumps_up_by_half_the_range", "level_1", FaultKind::offset, 1.5, 0, 4, 0, 42},
    Lie{"transmitter_jumps_down", "level_1", FaultKind::offset, -2.2, 0, 4, 0, 0},
    Lie{"transmitter_jumps_up_for_a_minute", "level_1", FaultKind::offset, 2.0, 60, 1, 0, 0},
    Lie{"transmitter_drifts_up", "level_1", FaultKind::drift, 0.001, 0, 4, 0, 47, true},
    Lie{"transmitter_drifts_down", "level_1", FaultKind::drift, -0.001, 0, 4, 0, 0},
    Lie{"transmitter_freezes", "level_1", FaultKind::frozen, 0, 0, 3, 0, 0},
    Lie{"transmitter_dies", "level_1", FaultKind::dead, 0, 0, 3, 0, 0},
    Lie{"low_float_is_stuck_dry", "low_float", FaultKind::stuck_off, 0, 0, 3, 0, 0},
    Lie{"low_float_is_stuck_wet", "low_float", FaultKind::stuck_on, 0, 0, 1, 0, 0},
    Lie{"high_float_is_stuck_dry", "high_float", FaultKind::stuck_off, 0, 0, 1, 0, 0},
    Lie{"high_float_is_stuck_wet", "high_float", FaultKind::stuck_on, 0, 0, 4, 0, 0},
};

/// Names a case in the output of the tests.
void PrintTo(const Lie& lie, std::ostream* out) {
    *out << lie.name;
}

class WitnessLies : public testing::TestWithParam<Lie> {};

/// The demonstration well with `transmitters` and the lie, at an inflow that rises from 0.3 m3/s at 40 min.
Watched lied_to(const Lie& lie, std::size_t transmitters, double inflow_m3s) {
    constexpr double begins_s = 1800, rises_s = 2400, rise_s = 900, hours = 3;
    Case one = demonstration_well(
        {{0, 0.3}, {rises_s, 0.3}, {rises_s + rise_s, inflow_m3s}, {hours * s_per_h, inflow_m3s}}, 2.4);
    one.scenario.faults.push_back(fault(lie.device, lie.kind, begins_s, lie.lasts_s, lie.amount));
    if (transmitters == 1) {
        one.station.instruments.level.resize(1);
        one.settings.level_transmitter[1] = {};
    }
    const Watched figures = watched_run(one);
    print(std::string(lie.name) + ", " + std::to_string(transmitters) + " fitted, " +
              std::to_string(inflow_m3s) + " m3/s",
          figures);
    return figures;
}

constexpr double mild_m3s = 0.25, fair_m3s = 1.0, storm_m3s = 1.95;

TEST_P(WitnessLies, and_at_a_station_with_two_transmitters_no_water_spills_and_no_pump_runs_dry) {
    for (const double inflow_m3s : {mild_m3s, fair_m3s, storm_m3s}) {
        const Watched figures = lied_to(GetParam(), 2, inflow_m3s);
        EXPECT_EQ(figures.overflow_m3, 0);
        EXPECT_EQ(figures.suction_dry_s, 0);
        EXPECT_EQ(figures.level_min_m < figures.low_cutoff_m, GetParam().is_stopped_by_low_float);
    }
}

TEST_P(WitnessLies, and_at_a_station_with_one_transmitter_no_pump_runs_dry) {
    const Watched mild = lied_to(GetParam(), 1, mild_m3s);
    EXPECT_EQ(mild.suction_dry_s, 0);
    EXPECT_LE(mild.starts, GetParam().mild_starts_max);
    EXPECT_LE(mild.overflow_m3, GetParam().mild_overflow_max_m3);
    const Watched storm = lied_to(GetParam(), 1, storm_m3s);
    EXPECT_EQ(storm.suction_dry_s, 0);
    EXPECT_LE(storm.overflow_m3, GetParam().storm_overflow_max_m3);
}

INSTANTIATE_TEST_SUITE_P(OperatorCase, WitnessLies, testing::ValuesIn(lies),
                         [](const auto& lie) { return std::string(lie.param.name); });

}  // namespace
}  // namespace freshet::operator_cases
