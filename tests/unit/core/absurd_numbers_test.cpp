// Numbers without sense among the readings, as registers read amiss give them: whatever they are, what is
// advised stays within bounds, and it is itself again when the readings are. One reason to change: what
// numbers may do.
#include <array>
#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <tuple>

#include <gtest/gtest.h>

#include "controller/core/composing.hpp"
#include "controller/core/numbers.hpp"
#include "controller/core/step_limits.hpp"
#include "controller/core/composing.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double infinite = std::numeric_limits<double>::infinity();
constexpr std::array<double, 16> absurd{nan,  infinite, -infinite, 1e30, -1e30, 1e308,  -1e308,  1e-308,
                                        -0.0, -1,       1e6,       -1e6, 700,   9.3e18, -9.3e18, 4e9};

TEST(Bounded, is_the_number_itself_within_its_bounds_and_the_nearer_bound_outside) {
    EXPECT_EQ(bounded(3, 1, 5), 3);
    EXPECT_EQ(bounded(-infinite, 1, 5), 1);
    EXPECT_EQ(bounded(infinite, 1, 5), 5);
    EXPECT_EQ(bounded(nan, 1, 5), 1);
}

TEST(SpeedReference, of_any_number_is_bounded_and_a_hundredth_of_a_hertz) {
    EXPECT_DOUBLE_EQ(speed_reference_hz(47.126), 47.13);
    for (const double speed_hz : absurd) {
        const double advised_hz = speed_reference_hz(speed_hz);
        EXPECT_GE(advised_hz, 0) << speed_hz;
        EXPECT_LE(advised_hz, speed_reference_max_hz) << speed_hz;
        EXPECT_EQ(speed_reference_hz(advised_hz), advised_hz) << speed_hz;
    }
}

TEST(FlowTable, answers_any_number_as_one_of_its_ends) {
    const FlowTable table(doubles::four_pumps());
    for (const double number : absurd) {
        EXPECT_GE(table.minimum_flow_hz(1, number), 0) << number;
        EXPECT_GE(table.total_m3s(1, number, 2.0), table.total_m3s(1, 0, 2.0) / 2) << number;
        EXPECT_LE(table.total_m3s(1, 50, number), table.total_m3s(1, 50, 1e9)) << number;
    }
}

TEST(Ramp, at_any_rate_has_a_time) {
    for (const double rate_hz_s : absurd) EXPECT_GE(ramp_ms(60, rate_hz_s), 0) << rate_hz_s;
    EXPECT_EQ(ramp_ms(60, 4), 15'000);
}

TEST(Demand, asked_with_a_number_that_is_none_stays_within_the_limits_of_the_speed) {
    Demand demand;
    const Tuning tuning{10, 60};
    demand.take_up(50, 0, tuning);
    EXPECT_GE(demand.step({nan, 40, 60, 0.1}, tuning, 2), 40);
    for (int i = 0; i < 1000; ++i) demand.step({1.0, 40, 60, 0.1}, tuning, 2);
    EXPECT_EQ(demand.speed_hz(), 60) << "and follows the next that is one";
}

/// The duties: a well that is emptied, a tank that is filled, a pressure that is held.
enum class Holds : std::uint8_t { well, tank, pressure };

Settings station_that(Holds duty, std::uint8_t pumps) {
    const bool holds_a_pressure = duty == Holds::pressure;
    Settings settings = holds_a_pressure ? doubles::four_pumps_holding_a_pressure() : doubles::four_pumps();
    settings.pump_count = pumps;
    settings.pressure_transmitter = {true, 0, 50};
    settings.permissives.discharge_pressure_max_m = 45;
    if (duty == Holds::well) return settings;
    settings.discharge_level_m = settings.suction_level_m = holds_a_pressure ? 0 : -12;
    if (holds_a_pressure) return settings;
    settings.action = Action::reverse;
    settings.marks = {.setpoint_m = 2.0,
                      .deadband_m = 0.1,
                      .start_m = 1.8,
                      .stop_m = 3.0,
                      .stage_up_m = 1.4,
                      .stage_down_m = 2.6,
                      .low_cutoff_m = 3.4,
                      .high_alarm_m = 0.6};
    return settings;
}

/// Now and then a number of the inputs is one without sense.
class Nonsense {
  public:
    explicit Nonsense(std::uint32_t seed) : random_(seed) {}

    void lay_in(Inputs& inputs) {
        for (Transmitter& level : inputs.level) lay_in(level);
        lay_in(inputs.header_pressure);
        lay_in(inputs.station_flow_m3s.value);
        for (Analog* one : {&inputs.drive.frequency_hz, &inputs.drive.voltage_v, &inputs.drive.angle_deg,
                            &inputs.line.voltage_v, &inputs.line.frequency_hz})
            lay_in(one->value);
        for (PumpInputs& pump : inputs.pumps) {
            lay_in(pump.current_a.value);
            lay_in(pump.winding_temperature_k.value);
        }
    }

  private:
    void lay_in(double& value) {
        constexpr std::uint32_t one_in = 40;
        if (random_() % one_in == 0) value = absurd[random_() % absurd.size()];
    }
    void lay_in(Transmitter& transmitter) {
        if (random_() % 4 == 0) transmitter.loop_ma = nan;  // the value itself counts
        lay_in(transmitter.reading.value);
        lay_in(transmitter.loop_ma);
    }
    std::mt19937 random_;
};

/// Every number of an advice is one, and within what can be.
void expect_sense(const Advice& advice, const Settings& settings) {
    const double beyond_hz = 2 * settings.drive.speed_max_hz;
    const double highest_hz = (1 + settings.supply.frequency_band_ratio) * settings.drive.speed_max_hz;
    ASSERT_GE(advice.speed_hz, 0);
    ASSERT_LE(advice.speed_hz, advice.service == Service::waiting ? beyond_hz : highest_hz);
    ASSERT_GE(advice.demand_hz, 0);
    ASSERT_LE(advice.demand_hz, settings.drive.speed_max_hz);
    ASSERT_GE(advice.minimum_flow_hz, 0);
    ASSERT_LE(advice.minimum_flow_hz, settings.drive.speed_max_hz);
    for (const double number : {advice.measured_m, advice.setpoint_m, advice.inflow_m3s, advice.pumped_m3s})
        ASSERT_LT(std::abs(number), 1e6);
    for (std::size_t i = 0; i < advice.event_count; ++i)
        for (const double value : advice.events[i].values)
            ASSERT_FALSE(std::abs(value) > 1e13) << static_cast<int>(advice.events[i].why);
}

class AbsurdNumbers : public testing::TestWithParam<std::tuple<Holds, std::uint8_t>> {};

TEST_P(AbsurdNumbers, leave_the_advice_within_bounds_and_are_forgotten_when_they_end) {
    const auto [duty, pumps] = GetParam();
    const Settings settings = station_that(duty, pumps);
    Watch watch(settings);
    watch.station.level_m = duty == Holds::tank ? 1.7 : 2.3;
    watch.station.inflow_m3s = duty == Holds::well ? 0.6 : 0.1;
    watch.station.header_pressure_m = duty == Holds::pressure ? 24 : 20;
    Nonsense nonsense(pumps);
    const auto scans = [&](int count) {
        for (int i = 0; i < count; ++i) {
            watch.scan_once();
            ASSERT_NO_FATAL_FAILURE(expect_sense(*watch.advice, settings)) << "scan " << i;
        }
    };
    watch.on_the_way = [&](Inputs& inputs) { nonsense.lay_in(inputs); };
    scans(300);  // from the first reading on
    watch.on_the_way = nullptr;
    scans(1'500);
    watch.on_the_way = [&](Inputs& inputs) { nonsense.lay_in(inputs); };
    scans(600);

    watch.on_the_way = nullptr;
    scans(600);
    EXPECT_EQ(watch.advice->measured_quality, Quality::good);
    const double true_m = duty == Holds::pressure ? watch.station.header_pressure_m : watch.station.level_m;
    EXPECT_NEAR(watch.advice->measured_m, true_m, 0.01);
}

std::string name_of(const testing::TestParamInfo<std::tuple<Holds, std::uint8_t>>& station) {
    constexpr std::array<const char*, 3> duties{"well", "tank", "pressure"};
    const auto [duty, pumps] = station.param;
    return std::string(duties[static_cast<std::size_t>(duty)]) + "_of_" + std::to_string(pumps) + "_pumps";
}

INSTANTIATE_TEST_SUITE_P(Station, AbsurdNumbers,
                         testing::Combine(testing::Values(Holds::well, Holds::tank, Holds::pressure),
                                          testing::Range<std::uint8_t>(2, 9)),
                         name_of);

/// The level given in metres, and then no number at all.
TEST(Demand, is_at_work_again_when_a_level_that_was_no_number_is_back) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(1_min);
    watch.on_the_way = [](Inputs& inputs) {
        for (Transmitter& level : inputs.level) {
            level.loop_ma = nan;
            level.reading.value = nan;
        }
    };
    watch.run_for(20_s);
    EXPECT_EQ(watch.advice->measured_quality, Quality::bad);
    EXPECT_EQ(watch.advice->measured_cause, Cause::undecodable);
    EXPECT_EQ(watch.advice->service, Service::floats);
    EXPECT_LE(watch.advice->speed_hz, watch.settings().drive.speed_max_hz);

    watch.on_the_way = nullptr;
    watch.station.inflow_m3s = 0.4;
    watch.run_for(10_min);
    EXPECT_EQ(watch.advice->service, Service::normal);
    EXPECT_NEAR(watch.advice->measured_m, watch.station.level_m, 0.01);
    EXPECT_NEAR(watch.advice->speed_hz, watch.station.drive_hz, 0.5);
    EXPECT_LT(watch.station.level_m, watch.settings().marks.start_m) << "the level is held";
}

TEST(DriveSpeed, that_no_drive_can_have_is_not_known_and_not_shown) {
    for (const double speed_hz : {nan, infinite, -infinite, -9.2e16, 9.2e16}) {
        Watch watch;
        watch.on_the_way = [&](Inputs& inputs) {
            inputs.drive.frequency_hz.value = speed_hz;
            inputs.emergency_stop.on = true;
        };
        watch.scan_once();
        EXPECT_EQ(watch.advice->service, Service::waiting);
        EXPECT_EQ(watch.advice->speed_hz, 0) << speed_hz;
    }
}

TEST(LineFrequency, that_is_no_number_counts_as_not_read) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.on_the_way = [](Inputs& inputs) { inputs.line.frequency_hz.value = nan; };
    watch.run_for(10_s);
    EXPECT_EQ(watch.state(0), PumpState::on_drive);
    EXPECT_FALSE(watch.alarm(StationAlarm::supply));
}

}  // namespace
}  // namespace freshet::core
