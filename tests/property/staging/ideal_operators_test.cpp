// The judges judged: the flows of the combinations against the stepped plant, and the ideal operators
// against each other.
// One reason to change: what an ideal operator must be able to do.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>

#include "config/devices.hpp"
#include "tests/property/staging/coupled.hpp"
#include "tests/property/staging/ideal_operators.hpp"
#include "tests/property/staging/random_inflow.hpp"
#include "tests/property/staging/seconds.hpp"

namespace freshet::staging_campaign {
namespace {

constexpr std::uint64_t stations = 20;
TEST(PromptOperator, brings_on_every_pump_without_a_trip_and_in_time_that_ramps_and_synchronism_take) {
    for (std::uint64_t seed = 1; seed <= stations; ++seed) {
        const RandomStation station = random_station(seed);
        const std::size_t pump_count = station.given.pump_count;
        constexpr double duration_s = 3600;
        const double inflow_m3s = 1.5 * station.capacity.full_m3s(pump_count, reference_level_m(station));
        const config::Scenario scenario =
            constant_inflow(inflow_m3s, 1, duration_s, reference_level_m(station), seed);
        plant::Plant plant{station.real, scenario, station.settings.scan_ms};
        PromptOperator prompt{station, {}};
        double all_on_s = duration_s;
        bool tripped = false;
        for (double t_s = 0; t_s < duration_s; t_s += station.settings.scan_ms * s_per_ms) {
            plant.step(prompt.decide(plant));
            if (pumps_running(plant, pump_count) == pump_count) all_on_s = std::min(all_on_s, t_s);
            tripped = tripped || plant.electrical().drive_tripped;
        }
        // A step: the ramp from rest, half a minute for synchronism, and ten scans for contactors and
        // confirmations.
        const double step_s = station.given.supply.frequency_hz / station.given.drive.ramp_up_hz_s + 30 +
                              10 * station.settings.scan_ms * s_per_ms;
        EXPECT_LE(all_on_s, static_cast<double>(pump_count) * step_s) << "seed " << seed;
        EXPECT_FALSE(tripped) << "seed " << seed;
        const double flow_m3s = plant.water().main_flow_m3s;
        const double capacity_m3s = station.capacity.full_m3s(pump_count, plant.water().level_m);
        constexpr double tolerance = 0.005;
        EXPECT_NEAR(flow_m3s, capacity_m3s, tolerance * capacity_m3s) << "seed " << seed;
    }
}

struct Loss {
    const char* device;
    config::FaultKind kind;
    double lasts_s;  ///< zero: to the end
};

constexpr std::array losses{Loss{"drive", config::FaultKind::not_ready, 0},
                            Loss{"drive", config::FaultKind::trip, 10},
                            Loss{"drive", config::FaultKind::never_in_sync, 0},
                            Loss{"drive_output", config::FaultKind::does_not_close, 0},
                            Loss{"drive_output", config::FaultKind::does_not_open, 0},
                            Loss{"pump_1", config::FaultKind::trip, 0},
                            Loss{"pump_2", config::FaultKind::selector_off, 0},
                            Loss{"pump_1", config::FaultKind::blocked, 0},
                            Loss{"pump_1.drive_side", config::FaultKind::does_not_close, 0},
                            Loss{"pump_1.drive_side", config::FaultKind::does_not_open, 0},
                            Loss{"pump_1.line_side", config::FaultKind::does_not_close, 0},
                            Loss{"line", config::FaultKind::lost, 5},
                            Loss{"emergency_stop", config::FaultKind::emergency_stop, 30}};

TEST(PromptOperator, brings_on_as_many_sound_pumps_as_are_left_after_any_single_loss) {
    for (std::uint64_t seed = 1; seed <= stations / 2; ++seed)
        for (const Loss& loss : losses) {
            const RandomStation station = random_station(seed);
            const std::size_t left = station.given.pump_count - 1U;
            constexpr double duration_s = 3600, begins_s = 60, until_reset_s = 60;
            const double inflow_m3s = 1.5 * station.capacity.full_m3s(left + 1, reference_level_m(station));
            config::Scenario scenario =
                constant_inflow(inflow_m3s, 1, duration_s, reference_level_m(station), seed);
            scenario.faults.push_back({begins_s, loss.lasts_s, loss.device, loss.kind, 0.5});
            scenario.people.push_back({begins_s + loss.lasts_s + until_reset_s});
            plant::Plant plant{station.real, scenario, station.settings.scan_ms};
            PromptOperator prompt{station, {}};
            for (double t_s = 0; t_s < duration_s; t_s += station.settings.scan_ms * s_per_ms)
                plant.step(prompt.decide(plant));
            EXPECT_GE(pumps_running(plant, station.given.pump_count), left)
                << "seed " << seed << ", " << loss.device << " " << config::word_for(loss.kind);
        }
}

TEST(RandomStation, is_the_same_from_the_same_seed_and_another_from_another_seed) {
    EXPECT_EQ(described(random_station(1)), described(random_station(1)));
    EXPECT_NE(described(random_station(1)), described(random_station(2)));
}

}  // namespace
}  // namespace freshet::staging_campaign
