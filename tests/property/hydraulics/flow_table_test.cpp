// Compares the controller's flow table with the simulated plant's own steady balance, for the shipped
// stations and for random stations. Seeds are printed; FRESHET_SEED in the environment runs one seed alone.
// One reason to change: the accuracy that the table must have.
#include "controller/core/flow_table.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <random>
#include <span>
#include <string>

#include "config/engineering/derive.hpp"
#include "config/engineering/derive_settings.hpp"
#include "config/loader/load.hpp"
#include "config/numerics/root.hpp"
#include "tests/doubles/operating_point.hpp"
#include "tests/property/hydraulics/random_numbers.hpp"

namespace {

using namespace freshet;
using tests::between;
using tests::decades;
using tests::Random;

/// Largest differences between the table and the plant over one station.
struct Distances {
    double flow = 0;      ///< divided by the combination's flow at full speed
    double speed_hz = 0;  ///< of minimum-flow speeds
    int readings = 0;
    std::string where;  ///< place of the largest difference in flow
};

/// Speeds of the plant's pumps: the first `line` pumps at line frequency, and one more pump at `drive_hz`.
struct Running {
    const config::Station& station;
    double ratio_per_hz = 0;  ///< ratio of rated speed per Hz
    std::array<double, 8> ratios{};

    explicit Running(const config::Station& described)
        : station(described),
          ratio_per_hz(config::line_speed_ratio(described) / described.supply.frequency_hz) {}

    doubles::OperatingPoint at(std::size_t line, double drive_hz, double measured_m) {
        std::fill_n(ratios.begin(), line, ratio_per_hz * station.supply.frequency_hz);
        if (drive_hz > 0) ratios[line] = ratio_per_hz * drive_hz;
        return doubles::operating_point(station, std::span(ratios).first(drive_hz > 0 ? line + 1 : line),
                                        measured_m);
    }
    /// The speed at which the pump on the drive delivers its minimum flow for this speed. Above `highest_hz`
    /// when the pump does not deliver this flow up to `highest_hz`.
    double minimum_flow_hz(std::size_t line, double highest_hz, double measured_m) {
        const auto missing = [&](double hz) {
            return ratio_per_hz * hz * station.pump.minimum_flow_m3s -
                   at(line, hz, measured_m).flow_m3s[line];
        };
        return missing(highest_hz) > 0 ? 2 * highest_hz : config::root_between(missing, 1e-3, highest_hz);
    }
};

/// Compares every combination, at measured values from the low cut-off to the high alarm and at speeds from
/// the minimum-flow speed to the highest speed.
///
/// The table is made without the slip of the motor, because the plant's pumps here have given speeds.
Distances distances(const config::Station& station, core::Settings settings) {
    constexpr int levels = 23, speeds = 29;
    settings.drive.rated_slip_ratio = 0;
    const core::FlowTable table(settings);
    Running plant(station);
    Distances found;
    const double top_hz = settings.drive.speed_max_hz;
    for (std::size_t line = 0; line < station.pump_count; ++line)
        for (int l = 0; l <= levels; ++l) {
            const double measured_m =
                settings.marks.low_cutoff_m +
                (settings.marks.high_alarm_m - settings.marks.low_cutoff_m) * l / levels;
            const auto compare = [&](std::size_t on_line, double hz, double full_m3s) {
                const doubles::OperatingPoint there = plant.at(on_line, hz, measured_m);
                // A drive above line frequency can press the other pumps below their minimum flow.
                if (there.flow_m3s[0] < settings.minimum_flow_m3s * (1 - 1e-9)) return;
                const double apart =
                    std::abs(table.total_m3s(on_line, hz, measured_m) - there.total_flow_m3s) / full_m3s;
                ++found.readings;
                if (apart <= found.flow) return;
                found.flow = apart;
                found.where = std::to_string(on_line) + " on line, " + std::to_string(hz) + " Hz, " +
                              std::to_string(measured_m) + " m";
            };
            const doubles::OperatingPoint alone = plant.at(line + 1, 0, measured_m);
            if (alone.flow_m3s[0] >= settings.minimum_flow_m3s) compare(line + 1, 0, alone.total_flow_m3s);
            const double lowest_hz = plant.minimum_flow_hz(line, top_hz, measured_m);
            const double reckoned_hz = table.minimum_flow_hz(line, measured_m);
            if (lowest_hz > top_hz) {
                found.speed_hz = std::max(found.speed_hz, top_hz - reckoned_hz);
                continue;
            }
            found.speed_hz = std::max(
                found.speed_hz, std::abs(std::max(lowest_hz, settings.drive.speed_min_hz) - reckoned_hz));
            const double full_m3s = plant.at(line, top_hz, measured_m).total_flow_m3s;
            for (int s = 0; s <= speeds; ++s)
                compare(line, lowest_hz + (top_hz - lowest_hz) * s / speeds, full_m3s);
        }
    return found;
}

constexpr double flow_apart_most = 0.001, speed_apart_most_hz = 0.05;

/// Curves of three to six points, from nearly level to steep at no flow: h = head (steep - (steep - 1) x^p),
/// x the flow divided by the best flow.
void random_pump(Random& random, config::PumpType& pump, double best_m3s, double head_m) {
    const double steep = between(random, 1.1, 1.8);
    const double power = between(random, 1.2, 3);
    const auto points = 3 + random() % 4;
    const double end = between(random, 1.2, 1.45);
    for (std::size_t i = 0; i < points; ++i) {
        const double x = end * static_cast<double>(i) / static_cast<double>(points - 1);
        pump.curve.push_back(
            {x * best_m3s, head_m * (steep - (steep - 1) * std::pow(x, power)), i == 0 ? 0 : 0.7, 2 + 2 * x});
    }
    pump.rated_speed_rpm = 980;
    pump.minimum_flow_m3s = between(random, 0.15, 0.35) * best_m3s;
    pump.branch_loss_s2m5 = between(random, 0, 0.1) * head_m / (best_m3s * best_m3s);
}

/// A main whose loss with all pumps is at most about two thirds of the head.
void random_main(Random& random, config::Main& main, double total_m3s) {
    const std::size_t reaches = 1 + random() % 3;
    const double length_m = decades(random, 20, 10000);
    for (std::size_t i = 0; i < reaches; ++i) {
        config::Reach reach;
        reach.length_m = length_m / static_cast<double>(reaches);
        reach.diameter_m = std::sqrt(total_m3s / between(random, 0.8, 2.5) * 4 / 3.14159);
        reach.friction =
            random() % 2 == 0 ? config::Friction::darcy_weisbach : config::Friction::hazen_williams;
        reach.roughness_m = decades(random, 1e-6, 1e-3);
        reach.hazen_williams_c = between(random, 90, 150);
        reach.minor_loss_k = between(random, 0, 10);
        main.reaches.push_back(reach);
    }
}

struct Described {
    config::Station station;
    core::Settings settings;
};

/// Stations with two to eight pumps, each duty, either friction law.
Described random_description(Random& random) {
    Described made;
    config::Station& station = made.station;
    core::Settings& settings = made.settings;
    station.duty = static_cast<config::Duty>(random() % 3);
    station.pump_count = settings.pump_count = static_cast<std::uint8_t>(2 + random() % 7);
    const double best_m3s = decades(random, 0.005, 1.5);
    const double head_m = between(random, 8, 60);
    random_pump(random, station.pump, best_m3s, head_m);
    random_main(random, station.main, best_m3s * station.pump_count);
    station.supply = {400, random() % 2 == 0 ? 50.0 : 60.0, 1e7};
    station.motor.nameplate = {.power_w = 1e5, .voltage_v = 400, .frequency_hz = 50, .speed_rpm = 975};
    station.motor.nameplate.current_a = 100;
    station.motor.nameplate.locked_rotor_current_ratio = 6;
    settings.drive.speed_max_hz = station.supply.frequency_hz * between(random, 0.97, 1.05);
    settings.drive.speed_min_hz = 0.3 * station.supply.frequency_hz;

    const double depth_m = between(random, 1, 6);
    const double static_m = between(random, 0.1, 0.75) * head_m;
    station.well.storage = {{0, 0}, {depth_m, 100 * depth_m}};
    auto& marks = settings.marks;
    marks.setpoint_m = 0.5 * depth_m;
    if (station.duty == config::Duty::empty_well) {
        settings.action = core::Action::direct;
        marks.low_cutoff_m = 0.1 * depth_m;
        marks.high_alarm_m = 0.9 * depth_m;
        station.main.discharge_level_m = depth_m + static_m;
        return made;
    }
    settings.action = core::Action::reverse;
    marks.low_cutoff_m = 0.9 * depth_m;
    marks.high_alarm_m = 0.1 * depth_m;
    // Half of the tanks are filled from above. The other tanks are filled from below their surface or from
    // between.
    station.main.discharge_level_m = between(random, 0, 2) * depth_m;
    station.suction_head_m = station.main.discharge_level_m - static_m;
    if (station.duty == config::Duty::fill_tank) return made;
    settings.measured = core::Measured::header_pressure;
    station.air_vessel = {1, 5, 1.2};
    station.instruments.pressure_at_20ma_m = 100;
    station.well.suction_level_m = between(random, -1, 1);
    station.suction_head_m = between(random, 0, 20);
    marks.setpoint_m = station.suction_head_m + 0.8 * head_m;
    marks.low_cutoff_m = station.suction_head_m + between(random, 1, 1.3) * head_m;
    marks.high_alarm_m = station.suction_head_m + between(random, 0.4, 0.7) * head_m;
    return made;
}

class ShippedStation : public testing::TestWithParam<const char*> {};

TEST_P(ShippedStation, has_a_table_that_agrees_with_the_plants_flows_and_minimum_flow_speeds) {
    const auto file =
        config::load_station_file(std::string(FRESHET_SOURCE_DIR) + "/config/stations/" + GetParam());
    ASSERT_TRUE(file);
    const Distances found = distances(file->station, file->settings);
    std::printf("%s: %d readings, flow within %.4f %%, speed within %.4f Hz\n", GetParam(), found.readings,
                100 * found.flow, found.speed_hz);
    EXPECT_LT(found.flow, flow_apart_most) << found.where;
    EXPECT_LT(found.speed_hz, speed_apart_most_hz);
}
INSTANTIATE_TEST_SUITE_P(FlowTable, ShippedStation, testing::Values("demo.toml", "tank.toml", "booster.toml"),
                         [](const auto& shipped) {
                             const std::string name = shipped.param;
                             return name.substr(0, name.find('.'));
                         });

TEST(FlowTable, of_random_stations_agrees_with_the_plants_flows_and_minimum_flow_speeds) {
    constexpr std::uint64_t stations = 240;
    const char* asked = std::getenv("FRESHET_SEED");
    const std::uint64_t first = asked != nullptr ? std::strtoull(asked, nullptr, 10) : 1;
    const std::uint64_t last = asked != nullptr ? first : stations;
    Distances worst;
    int readings = 0;
    for (std::uint64_t seed = first; seed <= last; ++seed) {
        Random random(seed);
        Described made = random_description(random);
        config::derive_settings(made.settings, made.station);
        const Distances found = distances(made.station, made.settings);
        EXPECT_LT(found.flow, flow_apart_most) << "seed " << seed << ": " << found.where;
        EXPECT_LT(found.speed_hz, speed_apart_most_hz) << "seed " << seed;
        worst.flow = std::max(worst.flow, found.flow);
        worst.speed_hz = std::max(worst.speed_hz, found.speed_hz);
        readings += found.readings;
    }
    std::printf("seeds %llu to %llu: %d readings, flow within %.4f %%, speed within %.4f Hz\n",
                static_cast<unsigned long long>(first), static_cast<unsigned long long>(last), readings,
                100 * worst.flow, worst.speed_hz);
    EXPECT_TRUE(asked != nullptr || readings > 500'000);
}

}  // namespace
