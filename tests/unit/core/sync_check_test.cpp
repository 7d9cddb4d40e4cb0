// The sync check: which readings it accepts and which it refuses. One reason to change: a limit of the check.
#include "controller/core/sync_check.hpp"

#include <limits>

#include <gtest/gtest.h>

#include "tests/unit/core/instants.hpp"

namespace freshet::core {
namespace {

struct Pair {
    DriveInputs drive;
    LineInputs line;
};

/// Drive and line that match, read just now.
Pair matching() {
    const auto read = [](double value) { return Analog{value, 0, Quality::good, Cause::none}; };
    Pair pair;
    pair.drive.frequency_hz = read(60.0);
    pair.drive.voltage_v = read(2300);
    pair.drive.angle_deg = read(0.0);
    pair.line.frequency_hz = read(60.0);
    pair.line.voltage_v = read(2300);
    return pair;
}

constexpr std::int32_t closing_100_ms = 100;

SyncReading judged(const Pair& pair, const Settings::SyncCheck& limits = {}) {
    return read_sync(pair.drive, pair.line, limits, closing_100_ms);
}

TEST(SyncCheck, agrees_when_frequency_voltage_and_angle_match) {
    EXPECT_TRUE(judged(matching()).within);
}

TEST(SyncCheck, judges_the_angle_at_the_closing_of_the_contacts) {
    // 0.1 Hz of slip turns 360 x 0.1 x 0.1 = 3.6 degrees while a contactor of 100 ms closes.
    Pair pair = matching();
    pair.drive.frequency_hz.value = 60.1;
    pair.drive.angle_deg.value = 2.0;

    EXPECT_NEAR(judged(pair).angle_at_closing_deg, 2.0 + 3.6, 1e-9);
}

TEST(SyncCheck, adds_the_slip_over_the_age_of_the_reading_to_the_angle) {
    Pair pair = matching();
    pair.drive.frequency_hz.value = 60.1;
    pair.drive.angle_deg.age_ms = 200;

    EXPECT_NEAR(judged(pair).angle_at_closing_deg, 360 * 0.1 * 0.3, 1e-9);
}

TEST(SyncCheck, refuses_an_angle_that_will_be_outside_its_limit_at_closing) {
    Pair pair = matching();
    pair.drive.frequency_hz.value = 60.09;
    pair.drive.angle_deg.value = 8.0;

    const SyncReading reading = judged(pair);

    EXPECT_GT(reading.angle_at_closing_deg, Settings::SyncCheck{}.angle_max_deg);
    EXPECT_FALSE(reading.within);
}

TEST(SyncCheck, refuses_each_difference_beyond_its_limit) {
    Pair fast = matching();
    fast.drive.frequency_hz.value = 60.0 + Settings::SyncCheck{}.slip_max_hz + 0.001;
    EXPECT_FALSE(judged(fast).within);

    Pair high = matching();
    high.drive.voltage_v.value = 2300 * (1 + Settings::SyncCheck{}.voltage_max_ratio + 0.001);
    EXPECT_FALSE(judged(high).within);

    Pair ahead = matching();
    ahead.drive.angle_deg.value = Settings::SyncCheck{}.angle_max_deg + 0.1;
    EXPECT_FALSE(judged(ahead).within);

    Pair behind = matching();
    behind.drive.angle_deg.value = -Settings::SyncCheck{}.angle_max_deg - 0.1;
    EXPECT_FALSE(judged(behind).within);
}

TEST(SyncCheck, cannot_use_readings_that_are_bad_or_uncertain_or_old) {
    Pair uncertain = matching();
    uncertain.line.voltage_v.quality = Quality::uncertain;
    EXPECT_FALSE(judged(uncertain).usable);

    Pair old = matching();
    old.drive.frequency_hz.age_ms = Settings::SyncCheck{}.age_max_ms + 1;
    EXPECT_FALSE(judged(old).usable);

    Pair dead = matching();
    dead.line.voltage_v.value = 0;
    EXPECT_FALSE(judged(dead).usable);
}

TEST(SyncCheck, cannot_use_senseless_readings) {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    constexpr double infinite = std::numeric_limits<double>::infinity();
    for (const double senseless : {nan, infinite, -infinite, 1e30}) {
        Pair frequency = matching();
        frequency.drive.frequency_hz.value = senseless;
        EXPECT_FALSE(judged(frequency).usable) << senseless;
        Pair voltage = matching();
        voltage.drive.voltage_v.value = senseless;
        EXPECT_FALSE(judged(voltage).usable) << senseless;
        Pair angle = matching();
        angle.drive.angle_deg.value = senseless;
        EXPECT_FALSE(judged(angle).within) << senseless;
    }
}

TEST(WrappedAngle, lies_within_half_a_turn) {
    EXPECT_NEAR(wrapped_deg(190), -170, 1e-12);
    EXPECT_NEAR(wrapped_deg(-190), 170, 1e-12);
    EXPECT_NEAR(wrapped_deg(725), 5, 1e-12);
}

TEST(WrappedAngle, of_a_senseless_number_is_refused_by_every_limit) {
    EXPECT_EQ(wrapped_deg(1e300), 180);
    EXPECT_EQ(wrapped_deg(std::numeric_limits<double>::quiet_NaN()), 180);
}

}  // namespace
}  // namespace freshet::core
