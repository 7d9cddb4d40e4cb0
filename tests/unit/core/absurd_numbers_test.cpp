// Senseless numbers among the readings, as a wrongly read register gives them. The advice stays within
// bounds, and returns to normal when the readings do. One reason to change: the effect of a senseless number.
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
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr std::array<double, 16> absurd{not_a_number, infinity, -infinity, 1e30, -1e30, 1e308,
                                        -1e308,       1e-308,   -0.0,      -1,   1e6,   -1e6,
                                        700,          9.3e18,   -9.3e18,   4e9};

TEST(Bounded, is_the_number_within_its_bounds_and_the_nearer_bound_outside) {
    EXPECT_EQ(bounded(3, 1, 5), 3);
    EXPECT_EQ(bounded(-infinity, 1, 5), 1);
    EXPECT_EQ(bounded(infinity, 1, 5), 5);
    EXPECT_EQ(bounded(not_a_number, 1, 5), 1);
}

TEST(SpeedReference, is_bounded_and_rounded_to_a_hundredth_of_a_hertz) {
    EXPECT_DOUBLE_EQ(speed_reference_hz(47.126), 47.13);
    for (const double speed_hz : absurd) {
        const double advised_hz = speed_reference_hz(speed_hz);
        EXPECT_GE(advised_hz, 0) << speed_hz;
        EXPECT_LE(advised_hz, speed_reference_max_hz) << speed_hz;
        EXPECT_EQ(speed_reference_hz(advised_hz), advised_hz) << speed_hz;
    }
}

TEST(SpeedReference, does_not_depend_on_the_speeds_before) {
    std::mt19937 dice(20310514);
    std::uniform_real_distribution<double> step_hz(-0.02, 0.02);
    SpeedReference kept;
    double speed_hz = 45;
    for (int scan = 0; scan < 100'000; ++scan) {
        speed_hz += step_hz(dice);
        if (scan % 7 == 0) speed_hz = 0.005 * std::round(speed_hz / 0.005);  // half of a hundredth, or near
        const double reference_hz = kept.of_hz(speed_hz);
        ASSERT_EQ(reference_hz, speed_reference_hz(speed_hz)) << speed_hz;
        ASSERT_NEAR(reference_hz, speed_hz, 0.005 + 1e-9);
    }
    EXPECT_EQ(kept.of_hz(not_a_number), 0);
}

TEST(FlowTable, gives_a_flow_within_its_range_for_every_number) {
    const FlowTable table(doubles::four_pumps());
    for (const double number : absurd) {
        EXPECT_GE(table.minimum_flow_hz(1, number), 0) << number;
        EXPECT_GE(table.total_m3s(1, number, 2.0), table.total_m3s(1, 0, 2.0) / 2) << number;
        EXPECT_LE(table.total_m3s(1, 50, number), table.total_m3s(1, 50, 1e9)) << number;
    }
}

TEST(Ramp, has_a_time_at_every_rate) {
    for (const double rate_hz_s : absurd) EXPECT_GE(ramp_ms(60, rate_hz_s), 0) << rate_hz_s;
    EXPECT_EQ(ramp_ms(60, 4), 15'000);
}

/// The duties: to empty a well, to fill a tank, to hold a pressure.
enum class Duty : std::uint8_t { well, tank, pressure };

Settings station_with(Duty duty, std::uint8_t pumps) {
    Settings settings = duty == Duty::pressure ? doubles::four_pumps_holding_a_pressure()
                        : duty == Duty::tank   ? doubles::four_pumps_filling_a_tank()
                                               : doubles::four_pumps();
    if (duty == Duty::pressure) settings.discharge_level_m = settings.suction_level_m = 0;
    settings.pump_count = pumps;
    settings.pressure_transmitter = {true, 0, 50};
    settings.permissives.discharge_pressure_max_m = 45;
    return settings;
}

/// Replaces a random number of the inputs by a senseless number, one in forty.
class Nonsense {
  public:
    explicit Nonsense(std::uint32_t seed) : random_(seed) {}

    void spoil(Inputs& inputs) {
        for (Transmitter& level : inputs.level) spoil(level);
        spoil(inputs.header_pressure);
        spoil(inputs.station_flow_m3s.value);
        for (Analog* reading : {&inputs.drive.frequency_hz, &inputs.drive.voltage_v, &inputs.drive.angle_deg,
                                &inputs.line.voltage_v, &inputs.line.frequency_hz})
            spoil(reading->value);
        for (PumpInputs& pump : inputs.pumps) {
            spoil(pump.current_a.value);
            spoil(pump.winding_temperature_k.value);
        }
    }

  private:
    void spoil(double& value) {
        constexpr std::uint32_t one_in = 40;
        if (random_() % one_in == 0) value = absurd[random_() % absurd.size()];
    }
    void spoil(Transmitter& transmitter) {
        if (random_() % 4 == 0) transmitter.loop_ma = not_a_number;  // the value itself counts
        spoil(transmitter.reading.value);
        spoil(transmitter.loop_ma);
    }
    std::mt19937 random_;
};

/// Every number of the advice is finite and within its bounds.
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

class AbsurdNumbers : public testing::TestWithParam<std::tuple<Duty, std::uint8_t>> {};

TEST_P(AbsurdNumbers, leave_the_advice_within_bounds_and_have_no_effect_after_they_end) {
    const auto [duty, pumps] = GetParam();
    const Settings settings = station_with(duty, pumps);
    Watch watch(settings);
    watch.station.level_m = duty == Duty::tank ? 1.7 : 2.3;
    watch.station.inflow_m3s = duty == Duty::well ? 0.6 : 0.1;
    watch.station.header_pressure_m = duty == Duty::pressure ? 24 : 20;
    Nonsense nonsense(pumps);
    const auto scans = [&](int count) {
        for (int i = 0; i < count; ++i) {
            watch.scan_once();
            ASSERT_NO_FATAL_FAILURE(expect_sense(*watch.advice, settings)) << "scan " << i;
        }
    };
    watch.on_the_way = [&](Inputs& inputs) { nonsense.spoil(inputs); };
    scans(300);  // from the first reading on
    watch.on_the_way = nullptr;
    scans(1'500);
    watch.on_the_way = [&](Inputs& inputs) { nonsense.spoil(inputs); };
    scans(600);

    watch.on_the_way = nullptr;
    scans(600);
    EXPECT_EQ(watch.advice->measured_quality, Quality::good);
    const double true_m = duty == Duty::pressure ? watch.station.header_pressure_m : watch.station.level_m;
    EXPECT_NEAR(watch.advice->measured_m, true_m, 0.01);
}

std::string name_of(const testing::TestParamInfo<std::tuple<Duty, std::uint8_t>>& station) {
    constexpr std::array<const char*, 3> duties{"well", "tank", "pressure"};
    const auto [duty, pumps] = station.param;
    return std::string(duties[static_cast<std::size_t>(duty)]) + "_of_" + std::to_string(pumps) + "_pumps";
}

INSTANTIATE_TEST_SUITE_P(Station, AbsurdNumbers,
                         testing::Combine(testing::Values(Duty::well, Duty::tank, Duty::pressure),
                                          testing::Range<std::uint8_t>(2, 9)),
                         name_of);

TEST(Speed, holds_the_level_again_after_the_level_was_not_a_number) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(1_min);
    watch.on_the_way = [](Inputs& inputs) {
        for (Transmitter& level : inputs.level) {
            level.loop_ma = not_a_number;
            level.reading.value = not_a_number;
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

TEST(DriveSpeed, beyond_every_drive_is_unknown_and_not_shown) {
    for (const double speed_hz : {not_a_number, infinity, -infinity, -9.2e16, 9.2e16}) {
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

TEST(LineFrequency, that_is_not_a_number_counts_as_not_read) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.on_the_way = [](Inputs& inputs) { inputs.line.frequency_hz.value = not_a_number; };
    watch.run_for(10_s);
    EXPECT_EQ(watch.state(0), PumpState::on_drive);
    EXPECT_FALSE(watch.alarm(StationAlarm::supply));
}

}  // namespace
}  // namespace freshet::core
