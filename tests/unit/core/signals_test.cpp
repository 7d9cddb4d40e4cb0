// The quality of transmitters: loop limits, plausibility, freezing, staleness, disagreement, recovery.
// One reason to change: when a transmitter is believed.
#include "controller/core/signals.hpp"

#include <gtest/gtest.h>

#include <array>
#include <limits>

#include "tests/unit/core/instants.hpp"

namespace freshet::core {
namespace {

constexpr std::int32_t loop_scan_ms = 100;
constexpr TransmitterSettings zero_to_eight_m{true, 0.0, 8.0};

double loop_of(double level_m) {
    return 4.0 + 16.0 * level_m / 8.0;
}

/// One transmitter over time.
struct Loop {
    Settings::SignalLimits limits;
    TransmitterRecord record;
    std::int64_t now_ms = start_ms;

    void show(double loop_ma, std::int64_t duration_ms = loop_scan_ms) {
        for (const std::int64_t end = now_ms + duration_ms; now_ms < end;) {
            now_ms += loop_scan_ms;
            Transmitter seen;
            seen.loop_ma = loop_ma;
            seen.reading = {0, 0, Quality::good, Cause::none};
            judge_transmitter(record, seen, zero_to_eight_m, limits, now_ms);
        }
    }
    void silence(std::int64_t duration_ms) {
        const std::int64_t last_ms = now_ms;
        for (const std::int64_t end = now_ms + duration_ms; now_ms < end;) {
            now_ms += loop_scan_ms;
            Transmitter seen;
            seen.loop_ma = loop_of(3.0);
            seen.reading = {0, age_at_ms(now_ms, last_ms), Quality::good, Cause::none};
            judge_transmitter(record, seen, zero_to_eight_m, limits, now_ms);
        }
    }
};

TEST(LevelLoop, reads_its_range_linearly) {
    Loop loop;
    loop.show(12.0);
    EXPECT_DOUBLE_EQ(loop.record.value_m, 4.0);
    EXPECT_EQ(loop.record.quality, Quality::good);
}

TEST(LevelLoop, with_a_broken_wire_is_uncertain_at_first_and_bad_after_four_seconds) {
    Loop loop;
    loop.show(loop_of(3.0), 1000);

    loop.show(0.0, 3900);
    EXPECT_EQ(loop.record.quality, Quality::uncertain);
    EXPECT_DOUBLE_EQ(loop.record.value_m, 3.0) << "the last plausible value is held";

    loop.show(0.0, 300);
    EXPECT_EQ(loop.record.quality, Quality::bad);
    EXPECT_EQ(loop.record.cause, Cause::under_range);
}

TEST(LevelLoop, is_over_range_at_the_upper_failure_signal) {
    Loop loop;
    loop.show(loop_of(3.0), 1000);
    loop.show(21.5, 5000);
    EXPECT_EQ(loop.record.quality, Quality::bad);
    EXPECT_EQ(loop.record.cause, Cause::over_range);
}

TEST(LevelLoop, that_is_saturated_but_not_failed_is_uncertain_and_has_a_value) {
    Loop loop;
    loop.limits.rate_max_m_s = 100;
    loop.show(20.7, 5000);
    EXPECT_EQ(loop.record.quality, Quality::uncertain);
    EXPECT_EQ(loop.record.cause, Cause::over_range);
    EXPECT_GT(loop.record.value_m, 8.0);
}

TEST(LevelLoop, does_not_follow_a_spike) {
    Loop loop;
    loop.show(loop_of(3.0), 1000);
    loop.show(loop_of(6.0), 300);
    EXPECT_DOUBLE_EQ(loop.record.value_m, 3.0);
    EXPECT_EQ(loop.record.cause, Cause::implausible_rate);

    loop.show(loop_of(3.1));
    EXPECT_DOUBLE_EQ(loop.record.value_m, 3.1) << "the reading after the spike is followed";
    EXPECT_EQ(loop.record.quality, Quality::uncertain) << "the quality is not yet good";

    loop.show(loop_of(3.1), loop.limits.fault_hold_ms);
    EXPECT_EQ(loop.record.quality, Quality::good);
}

TEST(LevelLoop, with_few_plausible_readings_turns_bad) {
    Loop loop;
    loop.show(loop_of(3.0), 1000);

    for (int i = 0; i < 10; ++i) {
        loop.show(loop_of(i % 2 == 0 ? 6.0 : 1.0), 500);
        loop.show(loop_of(3.0));
        EXPECT_NE(loop.record.quality, Quality::good);
    }

    EXPECT_EQ(loop.record.quality, Quality::bad);
}

TEST(LevelLoop, that_jumps_and_stays_turns_bad_until_another_witness_clears_it) {
    Loop loop;
    loop.show(loop_of(3.0), 1000);

    loop.show(loop_of(6.0), loop.limits.fault_hold_ms + 300);
    EXPECT_EQ(loop.record.quality, Quality::bad);

    loop.show(loop_of(6.0), 20 * loop.limits.recover_ms);
    EXPECT_EQ(loop.record.quality, Quality::bad);
    EXPECT_EQ(loop.record.contradiction, Contradiction::jumped);

    loop.record.contradiction = Contradiction::none;
    loop.show(loop_of(6.0), loop.limits.recover_ms + 300);
    EXPECT_EQ(loop.record.quality, Quality::good);
    EXPECT_DOUBLE_EQ(loop.record.value_m, 6.0);
}

TEST(LevelLoop, with_an_unchanged_reading_for_the_freezing_time_is_frozen) {
    Loop loop;
    loop.limits.freeze_ms = 60'000;
    loop.limits.fault_hold_ms = 0;
    loop.show(loop_of(3.0), 60'000);
    EXPECT_EQ(loop.record.quality, Quality::good);
    loop.show(loop_of(3.0), 500);
    EXPECT_EQ(loop.record.quality, Quality::bad);
    EXPECT_EQ(loop.record.cause, Cause::frozen);
}

/// A loop whose noise of some millimetres has been visible for five minutes.
Loop noisy_loop() {
    Loop loop;
    loop.limits.freeze_ms = 600'000;
    loop.limits.fault_hold_ms = 0;
    constexpr std::size_t scans = 3000;
    constexpr double step_m = 0.001;
    constexpr std::array noise{0, 3, 1, 2, -1, 4, 0, 1};
    for (std::size_t i = 0; i < scans; ++i) loop.show(loop_of(3.0 + step_m * noise[i % noise.size()]));
    return loop;
}

TEST(LevelLoop, whose_noise_was_visible_is_frozen_as_soon_as_the_reading_stops) {
    Loop loop = noisy_loop();
    ASSERT_EQ(loop.record.quality, Quality::good);
    loop.show(loop_of(3.0), 9'000);
    EXPECT_EQ(loop.record.quality, Quality::good);
    loop.show(loop_of(3.0), 2'000);
    EXPECT_EQ(loop.record.quality, Quality::bad);
    EXPECT_EQ(loop.record.cause, Cause::frozen);
}

TEST(LevelLoop, that_moves_without_noise_and_then_stops_is_not_frozen) {
    Loop loop;
    loop.limits.freeze_ms = 600'000;
    constexpr int scans = 3000;
    for (int i = 0; i < scans; ++i) loop.show(loop_of(3.0 + 0.0001 * i));
    loop.show(loop_of(3.3), 300'000);
    EXPECT_EQ(loop.record.quality, Quality::good);
}

TEST(LevelLoop, that_changes_between_two_steps_of_its_resolution_and_then_stops_is_not_frozen) {
    Loop loop;
    loop.limits.freeze_ms = 600'000;
    constexpr int scans = 3000;
    for (int i = 0; i < scans; ++i) loop.show(loop_of(i % 2 == 0 ? 3.0 : 3.005));
    loop.show(loop_of(3.005), 300'000);
    EXPECT_EQ(loop.record.quality, Quality::good);
}

TEST(LevelLoop, near_the_end_of_its_range_may_stand_still_in_spite_of_its_noise) {
    Loop loop = noisy_loop();
    loop.limits.fault_hold_ms = 0;
    for (double value_m = 3.0; value_m > 0.01; value_m -= 0.004) loop.show(loop_of(value_m));
    loop.show(loop_of(0.005), 60'000);
    EXPECT_EQ(loop.record.quality, Quality::good);
}

TEST(LevelLoop, is_stale_when_its_reading_is_too_old) {
    Loop loop;
    loop.show(loop_of(3.0), 1000);
    loop.silence(loop.limits.stale_ms + 200);
    EXPECT_EQ(loop.record.quality, Quality::bad);
    EXPECT_EQ(loop.record.cause, Cause::stale);
}

TEST(LevelLoop, that_returns_is_believed_after_the_recovery_time_at_every_value) {
    Loop loop;
    loop.show(loop_of(3.0), 1000);
    loop.silence(60'000);

    loop.show(loop_of(5.0), loop.limits.recover_ms - 500);
    EXPECT_EQ(loop.record.quality, Quality::bad);
    loop.show(loop_of(5.0), 1000);
    EXPECT_EQ(loop.record.quality, Quality::good);
}

TEST(LevelLoop, that_jumps_during_its_recovery_is_not_followed) {
    Loop loop;
    loop.show(loop_of(3.0), 1000);
    loop.silence(60'000);
    loop.show(loop_of(5.0), 1000);

    loop.show(loop_of(7.0), 300);
    EXPECT_DOUBLE_EQ(loop.record.value_m, 5.0);
    EXPECT_EQ(loop.record.quality, Quality::bad);

    loop.show(loop_of(5.0), loop.limits.recover_ms - 500);
    EXPECT_EQ(loop.record.quality, Quality::bad) << "the recovery time restarts";
    loop.show(loop_of(5.0), 1000);
    EXPECT_EQ(loop.record.quality, Quality::good);
}

/// The record of a transmitter that gives one level in metres for `duration_ms`.
TransmitterRecord given_m(double value_m, std::int64_t duration_ms = loop_scan_ms,
                          const TransmitterSettings& range = zero_to_eight_m) {
    TransmitterRecord record;
    for (std::int64_t time_ms = start_ms; time_ms < start_ms + duration_ms; time_ms += loop_scan_ms) {
        Transmitter seen;
        seen.reading = {value_m, 0, Quality::good, Cause::none};
        judge_transmitter(record, seen, range, {}, time_ms);
    }
    return record;
}

TEST(LevelReading, in_metres_is_good_where_a_loop_would_measure) {
    // 3.8 mA and 20.5 mA of a range of 8 m: -0.1 m and 8.25 m.
    for (const double value_m : {-0.099, 0.0, 8.0, 8.249}) {
        EXPECT_EQ(given_m(value_m, 10'000).quality, Quality::good) << value_m;
        EXPECT_EQ(given_m(value_m).value_m, value_m);
    }
}

TEST(LevelReading, in_metres_outside_its_range_by_up_to_a_span_is_uncertain_and_has_a_value) {
    for (const auto& [value_m, cause] :
         {std::pair{-7.99, Cause::under_range}, std::pair{-0.21, Cause::under_range},
          std::pair{-0.101, Cause::under_range}, std::pair{8.251, Cause::over_range},
          std::pair{8.51, Cause::over_range}, std::pair{15.99, Cause::over_range}}) {
        const TransmitterRecord record = given_m(value_m, 10'000);
        EXPECT_EQ(record.quality, Quality::uncertain) << value_m;
        EXPECT_EQ(record.cause, cause) << value_m;
        EXPECT_EQ(record.value_m, value_m);
    }
}

TEST(LevelReading, in_metres_outside_its_range_by_more_than_a_span_is_bad) {
    constexpr double infinite = std::numeric_limits<double>::infinity();
    for (const double value_m : {-8.01, -1e30, -infinite}) {
        EXPECT_EQ(given_m(value_m, 10'000).quality, Quality::bad) << value_m;
        EXPECT_EQ(given_m(value_m).cause, Cause::under_range);
        EXPECT_EQ(given_m(value_m).value_m, 0) << "the level is not followed";
    }
    for (const double value_m : {16.01, 1e30, 1e308, infinite}) {
        EXPECT_EQ(given_m(value_m, 10'000).quality, Quality::bad) << value_m;
        EXPECT_EQ(given_m(value_m).cause, Cause::over_range);
        EXPECT_EQ(given_m(value_m).value_m, 0) << "the level is not followed";
    }
}

TEST(LevelReading, in_metres_is_over_range_above_the_range_even_with_a_reversed_loop) {
    constexpr TransmitterSettings eight_to_zero_m{true, 8.0, 0.0};
    EXPECT_EQ(given_m(8.6, loop_scan_ms, eight_to_zero_m).cause, Cause::over_range);
    EXPECT_EQ(given_m(-0.6, loop_scan_ms, eight_to_zero_m).cause, Cause::under_range);
    EXPECT_EQ(given_m(4.0, loop_scan_ms, eight_to_zero_m).quality, Quality::good);
}

TEST(LevelReading, in_metres_does_not_follow_a_jump_out_of_its_range) {
    TransmitterRecord record = given_m(5.0, 1000);
    Transmitter seen;
    seen.reading = {9.0, 0, Quality::good, Cause::none};
    judge_transmitter(record, seen, zero_to_eight_m, {}, start_ms + 1000);
    EXPECT_EQ(record.cause, Cause::implausible_rate);
    EXPECT_EQ(record.value_m, 5.0);
}

TEST(LevelReading, that_is_not_a_number_is_bad) {
    const TransmitterRecord record = given_m(std::numeric_limits<double>::quiet_NaN(), 10'000);
    EXPECT_EQ(record.quality, Quality::bad);
    EXPECT_EQ(record.cause, Cause::undecodable);
    EXPECT_EQ(record.value_m, 0);
}

TEST(LevelReading, that_the_field_marks_uncertain_is_followed_and_stays_uncertain) {
    TransmitterRecord record;
    Transmitter seen;
    seen.reading = {3.0, 0, Quality::uncertain, Cause::device_exception};
    judge_transmitter(record, seen, zero_to_eight_m, {}, start_ms);
    EXPECT_DOUBLE_EQ(record.value_m, 3.0);
    EXPECT_EQ(record.quality, Quality::uncertain);
    EXPECT_EQ(record.cause, Cause::device_exception);
}

/// Two transmitters over time.
struct TwoLoops {
    Settings settings;
    SignalRecords records;
    MeasuredValue measured;
    std::int64_t now_ms = start_ms;

    TwoLoops() {
        settings.level_transmitter = {zero_to_eight_m, zero_to_eight_m};
        settings.signal.rate_max_m_s = 100;
    }
    void show(double first_ma, double second_ma, std::int64_t duration_ms) {
        for (const std::int64_t end = now_ms + duration_ms; now_ms < end;) {
            now_ms += loop_scan_ms;
            Inputs inputs;
            inputs.time_ms = now_ms;
            for (std::size_t i = 0; i < transmitters_max; ++i) {
                inputs.level[i].loop_ma = i == 0 ? first_ma : second_ma;
                inputs.level[i].reading = {0, 0, Quality::good, Cause::none};
            }
            judge_measured_value(records, inputs, settings);
            measured = records.measured;
        }
    }
};

TEST(TwoTransmitters, are_averaged_while_they_agree) {
    TwoLoops loops;
    loops.show(loop_of(3.0), loop_of(3.2), 1000);
    EXPECT_NEAR(loops.measured.value_m, 3.1, 1e-12);
    EXPECT_EQ(loops.measured.quality, Quality::good);
}

TEST(TwoTransmitters, are_combined_by_the_selection_of_the_settings) {
    for (const auto& [selection, value_m] :
         {std::pair{Selection::average, 3.1}, std::pair{Selection::higher, 3.2},
          std::pair{Selection::by_quality, 3.0}}) {
        TwoLoops loops;
        loops.settings.signal.selection = selection;
        loops.show(loop_of(3.0), loop_of(3.2), 1000);
        EXPECT_NEAR(loops.measured.value_m, value_m, 1e-12);
    }
}

TEST(TwoTransmitters, selected_by_quality_give_the_second_while_the_first_is_worse) {
    TwoLoops loops;
    loops.settings.signal.selection = Selection::by_quality;
    loops.show(loop_of(3.0), loop_of(3.2), 1000);
    loops.show(3.7, loop_of(3.2), 1000);  // between failure and measuring range: uncertain
    EXPECT_NEAR(loops.measured.value_m, 3.2, 1e-12);
    EXPECT_EQ(loops.measured.quality, Quality::good);
    loops.show(loop_of(3.0), loop_of(3.2), 1000);
    EXPECT_NEAR(loops.measured.value_m, 3.0, 1e-12);
}

TEST(TwoTransmitters, that_disagree_for_the_hold_time_are_uncertain_and_the_higher_counts) {
    TwoLoops loops;
    loops.show(loop_of(3.0), loop_of(3.0), 1000);
    loops.show(loop_of(3.0), loop_of(4.0), loops.settings.signal.disagreement_hold_ms + 500);
    EXPECT_TRUE(loops.measured.disagree);
    EXPECT_EQ(loops.measured.quality, Quality::uncertain);
    EXPECT_EQ(loops.measured.cause, Cause::disagrees);
    EXPECT_DOUBLE_EQ(loops.measured.value_m, 4.0);
}

TEST(TwoTransmitters, give_the_value_of_the_other_when_one_is_lost) {
    TwoLoops loops;
    loops.show(loop_of(3.0), loop_of(3.2), 1000);
    loops.show(0.0, loop_of(3.2), 6000);
    EXPECT_EQ(loops.measured.usable, 1);
    EXPECT_EQ(loops.measured.quality, Quality::good);
    EXPECT_NEAR(loops.measured.value_m, 3.2, 1e-12);
}

TEST(TwoTransmitters, with_one_uncertain_and_one_implausible_give_a_held_value) {
    constexpr double below_range_ma = 3.7;
    for (const bool first_jumps : {false, true}) {
        TwoLoops loops;
        loops.settings.signal.rate_max_m_s = 0.1;
        loops.show(loop_of(0.0), loop_of(0.0), 1000);
        const double jump_ma = loop_of(6.0);
        loops.show(first_jumps ? jump_ma : below_range_ma, first_jumps ? below_range_ma : jump_ma, 500);
        EXPECT_EQ(loops.measured.quality, Quality::uncertain);
        EXPECT_TRUE(loops.measured.held);
        EXPECT_LT(loops.measured.value_m, 0.1);
    }
}

TEST(OneTransmitter, is_the_measured_value_of_its_station) {
    for (const std::size_t fitted : {std::size_t{0}, std::size_t{1}}) {
        TwoLoops loops;
        loops.settings.level_transmitter[1 - fitted].fitted = false;
        loops.show(loop_of(3.0), loop_of(3.0), 1000);
        EXPECT_EQ(loops.measured.fitted, 1);
        EXPECT_EQ(loops.measured.usable, 1);
        EXPECT_EQ(loops.measured.quality, Quality::good);
        EXPECT_DOUBLE_EQ(loops.measured.value_m, 3.0);

        loops.show(0.0, 0.0, 6000);
        EXPECT_EQ(loops.measured.usable, 0);
        EXPECT_EQ(loops.measured.cause, Cause::under_range) << "the cause of the fitted transmitter";
    }
}

TEST(HeaderPressure, is_the_measured_value_of_its_duty_and_keeps_its_last_value_when_lost) {
    Settings settings;
    settings.measured = Measured::header_pressure;
    settings.pressure_transmitter = {true, 0.0, 80.0};
    SignalRecords records;
    Inputs inputs;
    inputs.time_ms = start_ms;
    MeasuredValue measured;
    const auto show = [&](double loop_ma, std::int64_t duration_ms) {
        for (const std::int64_t end = inputs.time_ms + duration_ms; inputs.time_ms < end;) {
            inputs.time_ms += loop_scan_ms;
            inputs.header_pressure.loop_ma = loop_ma;
            inputs.header_pressure.reading = {0, 0, Quality::good, Cause::none};
            judge_measured_value(records, inputs, settings);
            measured = records.measured;
        }
    };
    show(12.0, 1000);
    EXPECT_DOUBLE_EQ(measured.value_m, 40);
    EXPECT_EQ(measured.quality, Quality::good);
    EXPECT_EQ(measured.usable, measured.fitted);

    show(0.0, 500);
    EXPECT_TRUE(measured.held);
    EXPECT_EQ(measured.quality, Quality::uncertain);
    show(0.0, settings.signal.fault_hold_ms);
    EXPECT_EQ(measured.quality, Quality::bad);
    EXPECT_EQ(measured.usable, 0);
    EXPECT_DOUBLE_EQ(measured.value_m, 40);
}

TEST(TwoTransmitters, that_are_both_lost_give_a_bad_value_with_the_last_figure) {
    TwoLoops loops;
    loops.show(loop_of(3.0), loop_of(3.0), 1000);
    loops.show(0.0, 0.0, 6000);
    EXPECT_EQ(loops.measured.quality, Quality::bad);
    EXPECT_DOUBLE_EQ(loops.measured.value_m, 3.0);
}

}  // namespace
}  // namespace freshet::core
