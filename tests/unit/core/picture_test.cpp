// The picture of line, drive and pumps when readings are old, bad or out of their limits.
// One reason to change: which readings count as known.
#include "controller/core/picture.hpp"

#include <gtest/gtest.h>

#include "tests/doubles/station_double.hpp"
#include "tests/unit/core/instants.hpp"

namespace freshet::core {
namespace {

Analog read(double value, std::int32_t age_ms = 0) {
    return {value, age_ms, Quality::good, Cause::none};
}
Digital seen(bool on, std::int32_t age_ms = 0) {
    return {age_ms, on, Quality::good, Cause::none};
}

struct Site {
    Settings settings = doubles::four_pumps();
    Inputs inputs;
    Site() {
        inputs.time_ms = now_ms;
        inputs.line.voltage_v = read(settings.drive.line_voltage_v);
        inputs.line.frequency_hz = read(settings.drive.line_frequency_hz);
        inputs.drive.running = inputs.drive.tripped = seen(false);
        for (PumpInputs& pump : inputs.pumps) {
            pump.drive_side_closed = pump.line_side_closed = pump.tripped = seen(false);
            pump.selector = {0, Selector::automatic, Quality::good, Cause::none};
        }
    }
    Picture picture() const { return picture_of(inputs, settings); }
    std::int32_t too_old_ms() const { return settings.signal.stale_ms + 1; }
};

TEST(LineFrequency, above_or_below_its_band_makes_the_line_poor_and_is_not_followed) {
    Site site;
    EXPECT_FALSE(site.picture().line_poor);
    for (const double off_hz : {-4.0, 4.0}) {
        site.inputs.line.frequency_hz = read(site.settings.drive.line_frequency_hz + off_hz);
        EXPECT_TRUE(site.picture().line_poor) << off_hz;
        EXPECT_EQ(site.picture().line_hz, site.settings.drive.line_frequency_hz) << "the nominal frequency";
    }
}

TEST(LineFrequency, out_of_its_band_is_a_broken_meter_while_voltage_drive_and_motors_show_a_healthy_supply) {
    Site site;
    site.inputs.line.frequency_hz = read(site.settings.drive.line_frequency_hz - 20);
    site.inputs.drive.ready = seen(true);
    site.inputs.pumps[0].line_side_closed = seen(true);
    site.inputs.pumps[0].current_a = read(site.settings.rated_current_a);
    EXPECT_FALSE(site.picture().line_poor);
    EXPECT_EQ(site.picture().line_hz, site.settings.drive.line_frequency_hz) << "the nominal frequency";

    Site motor_without_current = site;
    motor_without_current.inputs.pumps[0].current_a = read(0);
    EXPECT_TRUE(motor_without_current.picture().line_poor);
    Site low_voltage = site;
    low_voltage.inputs.line.voltage_v = read(0);
    EXPECT_TRUE(low_voltage.picture().line_poor);
    Site drive_not_ready = site;
    drive_not_ready.inputs.drive.ready = seen(false);
    EXPECT_TRUE(drive_not_ready.picture().line_poor);
    Site on_generator = site;
    on_generator.inputs.line.on_generator = seen(true);
    EXPECT_TRUE(on_generator.picture().line_poor) << "a generator may slow down at its voltage";
}

TEST(Picture, shows_an_old_reading_as_neither_on_nor_off) {
    Site site;
    site.inputs.pumps[0].line_side_closed = seen(true, site.too_old_ms());
    site.inputs.drive.frequency_hz = read(40, site.too_old_ms());
    const Picture picture = site.picture();
    EXPECT_FALSE(has(picture.line_side_closed, 0));
    EXPECT_FALSE(has(picture.line_side_open, 0));
    EXPECT_FALSE(picture.drive_hz_known);
}

TEST(Picture, does_not_know_a_selector_that_was_read_too_long_ago) {
    Site site;
    site.inputs.pumps[0].selector.age_ms = site.too_old_ms();
    EXPECT_FALSE(has(site.picture().automatic, 0));
    EXPECT_FALSE(has(site.picture().not_automatic, 0));
    EXPECT_TRUE(has(site.picture().automatic, 1));
}

TEST(Picture, knows_that_a_trip_contact_is_not_fitted) {
    Site site;
    site.inputs.pumps[0].tripped = {never_read_ms, false, Quality::bad, Cause::not_fitted};
    site.inputs.pumps[1].tripped = {never_read_ms, false, Quality::bad, Cause::never_read};
    EXPECT_FALSE(has(site.picture().trip_unknown, 0));
    EXPECT_TRUE(has(site.picture().trip_unknown, 1));
}

TEST(Picture, does_not_know_a_drive_whose_trip_is_not_read) {
    Site site;
    EXPECT_TRUE(site.picture().drive_known);
    site.inputs.drive.tripped.quality = Quality::bad;
    EXPECT_FALSE(site.picture().drive_known);
}

TEST(Picture, knows_the_floats_only_when_both_are_read) {
    const Settings settings = doubles::four_pumps();
    const Inputs read = doubles::StationDouble(settings).look();
    EXPECT_TRUE(picture_of(read, settings).floats_known);

    Inputs without_high = read;
    without_high.high_float.quality = Quality::bad;
    EXPECT_FALSE(picture_of(without_high, settings).floats_known);
    Inputs without_low = read;
    without_low.low_float.quality = Quality::bad;
    EXPECT_FALSE(picture_of(without_low, settings).floats_known);
}

TEST(Picture, counts_a_reading_that_is_not_a_number_as_not_read) {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    const Settings settings = doubles::four_pumps();
    Inputs inputs = doubles::StationDouble(settings).look();
    EXPECT_TRUE(has(picture_of(inputs, settings).current_missing, 0)) << "a current of zero is a reading";
    inputs.pumps[0].current_a.value = nan;
    inputs.line.frequency_hz.value = nan;
    inputs.line.voltage_v.value = nan;
    const Picture picture = picture_of(inputs, settings);
    EXPECT_FALSE(has(picture.current_missing, 0));
    EXPECT_FALSE(has(picture.current_seen, 0));
    EXPECT_FALSE(picture.line_poor);
    EXPECT_EQ(picture.line_hz, settings.drive.line_frequency_hz);
}

TEST(Picture, knows_the_speed_of_the_drive_up_to_twice_its_highest_in_both_directions) {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    const Settings settings = doubles::four_pumps();
    Inputs inputs = doubles::StationDouble(settings).look();
    for (const double speed_hz : {-119.0, 0.0, 60.0, 119.0}) {
        inputs.drive.frequency_hz.value = speed_hz;
        EXPECT_TRUE(picture_of(inputs, settings).drive_hz_known);
        EXPECT_EQ(picture_of(inputs, settings).drive_hz, speed_hz);
    }
    for (const double speed_hz : {-121.0, 121.0, -9.2e16, nan}) {
        inputs.drive.frequency_hz.value = speed_hz;
        EXPECT_FALSE(picture_of(inputs, settings).drive_hz_known);
        EXPECT_EQ(picture_of(inputs, settings).drive_hz, 0);
    }
}

TEST(Age, is_infinite_for_a_signal_that_was_never_read_and_zero_for_a_future_reading) {
    EXPECT_EQ(Analog{}.age_ms, never_read_ms);
    EXPECT_EQ(age_at_ms(now_ms, never_ms), never_read_ms);
    EXPECT_EQ(age_at_ms(now_ms, now_ms + 5), 0);
    EXPECT_EQ(age_at_ms(now_ms, now_ms - 5), 5);
}

TEST(Age, of_a_reading_of_last_year_is_less_than_that_of_a_signal_that_was_never_read) {
    constexpr std::int64_t year_ms = 365LL * 86'400'000;
    EXPECT_EQ(age_at_ms(now_ms, now_ms - year_ms), never_read_ms - 1);
}

}  // namespace
}  // namespace freshet::core
