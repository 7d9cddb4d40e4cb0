// The vote of floats, transmitters and volume balance in the whole scan: every row of the table, and every way in
// which a transmitter loses and regains its credit.
// One reason to change: who is believed when witnesses contradict one another.
#include "controller/core/witnesses.hpp"

#include <gtest/gtest.h>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// Four pumps at a well with one level transmitter.
Settings four_pumps_with_one_transmitter() {
    Settings settings = doubles::four_pumps();
    settings.level_transmitter[1] = {};
    return settings;
}

/// The row of the vote when the alarm of a contradiction was last raised.
Vote voted(const Watch& watch) {
    const Event* raised =
        watch.last(EventKind::alarm_raised, static_cast<std::uint8_t>(StationAlarm::witnesses_contradict));
    return raised == nullptr ? Vote::agree : static_cast<Vote>(static_cast<int>(raised->values[0]));
}
Contradiction contradiction(const Watch& watch) {
    const Event* raised =
        watch.last(EventKind::alarm_raised, static_cast<std::uint8_t>(StationAlarm::witnesses_contradict));
    return raised == nullptr ? Contradiction::none
                             : static_cast<Contradiction>(static_cast<int>(raised->values[1]));
}
bool is_contradiction(const Watch& watch) {
    return watch.alarm(StationAlarm::witnesses_contradict);
}
bool a_pump_runs(const Watch& watch) {
    return watch.advice->drive_run || watch.advice->pumps_on_line > 0;
}
std::size_t drive_starts(const Watch& watch) {
    return watch.count(EventKind::sequence_begun, Sequence::start_on_drive);
}

/// Lets one transmitter drift for some minutes.
void drift(Watch& watch, std::size_t transmitter, double m_s, std::int64_t duration_ms) {
    constexpr std::int64_t step_ms = 1'000;
    constexpr double s_per_ms = 1e-3;
    for (std::int64_t left_ms = duration_ms; left_ms > 0; left_ms -= step_ms) {
        watch.station.level_error_m[transmitter] += m_s * s_per_ms * static_cast<double>(step_ms);
        watch.run_for(step_ms);
    }
}

// The rows of the vote
// ------------------------------------------------------------

TEST(Vote, floats_contradict_dry_starts_no_pump) {
    Watch watch;
    watch.station.level_m = 0.9;
    watch.station.high_float_fault.stuck_on = watch.station.low_float_fault.stuck_off = true;
    watch.run_for(5_min);
    EXPECT_EQ(drive_starts(watch), 0U);
    EXPECT_EQ(voted(watch), Vote::floats_contradict_dry);
    EXPECT_TRUE(is_contradiction(watch));
}

TEST(Vote, floats_contradict_keeps_the_pumps_and_starts_the_next) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.high_float_fault.stuck_on = watch.station.low_float_fault.stuck_off = true;
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 1; }, 3_min));
    EXPECT_TRUE(a_pump_runs(watch));
    EXPECT_EQ(voted(watch), Vote::floats_contradict);
}

TEST(Vote, float_calls_against_one_transmitter_starts_a_pump_even_at_the_cut_off) {
    Watch watch(four_pumps_with_one_transmitter());
    watch.station.level_m = 3.7;  // the high float is wet
    watch.station.inflow_m3s = 2.0;
    watch.station.level_error_m[0] = -3.4;
    watch.run_for(1_min);
    EXPECT_TRUE(a_pump_runs(watch));
    EXPECT_EQ(voted(watch), Vote::float_calls_against_level);
}

TEST(Vote, float_calls_against_two_transmitters_starts_a_pump) {
    Watch watch;
    watch.station.level_m = 3.7;
    watch.station.level_error_m = {-2.2, -2.2};
    watch.run_for(1_min);
    EXPECT_TRUE(a_pump_runs(watch));
    EXPECT_EQ(voted(watch), Vote::float_calls_against_level);
}

TEST(Vote, two_transmitters_at_the_stop_mark_outvote_the_float_that_calls) {
    Watch watch;
    watch.station.level_m = 0.9;
    watch.station.high_float_fault.stuck_on = true;
    watch.run_for(5_min);
    EXPECT_EQ(drive_starts(watch), 0U);
    EXPECT_EQ(voted(watch), Vote::two_outvote_calling_float);
}

TEST(Vote, a_value_at_the_cut_off_stops_pumps_while_the_float_that_stops_them_is_not_read) {
    Watch watch(four_pumps_with_one_transmitter());
    watch.station.level_m = 3.7;
    watch.station.level_error_m[0] = -3.4;
    watch.station.low_float_fault.silent = true;
    watch.run_for(1_min);
    EXPECT_FALSE(a_pump_runs(watch)) << "nothing protects the pumps but the value";
}

TEST(Vote, float_calls_with_the_transmitters_is_no_contradiction) {
    Watch watch;
    watch.station.level_m = 3.7;
    watch.station.inflow_m3s = 2.0;
    watch.run_for(1_min);
    EXPECT_TRUE(a_pump_runs(watch));
    EXPECT_TRUE(watch.alarm(StationAlarm::high_float));
    EXPECT_FALSE(is_contradiction(watch));
}

TEST(Vote, two_outvote_the_float_that_stops_pumps) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.low_float_fault.stuck_off = true;
    watch.run_for(10_min);
    EXPECT_TRUE(a_pump_runs(watch));
    EXPECT_EQ(voted(watch), Vote::two_outvote_float);
}

TEST(Vote, balance_outvotes_the_float_until_the_pumps_may_have_drawn_the_water) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());  // two transmitters prove the water
    watch.station.level_quality[1] = Quality::bad;
    watch.station.low_float_fault.stuck_off = true;
    watch.run_for(1_min);
    EXPECT_TRUE(a_pump_runs(watch));
    EXPECT_EQ(voted(watch), Vote::balance_outvotes_float);
    ASSERT_TRUE(watch.run_until([&] { return !a_pump_runs(watch); }, 15_min));
    EXPECT_TRUE(is_contradiction(watch));
}

TEST(Vote, float_stops_pumps_against_one_transmitter) {
    Watch watch(four_pumps_with_one_transmitter());
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.low_float_fault.stuck_off = true;
    watch.run_for(3_s);
    EXPECT_FALSE(watch.advice->drive_run && watch.advice->output_close);
    EXPECT_EQ(voted(watch), Vote::float_stops_against_level);
}

TEST(Vote, float_stops_pumps_in_the_scan_in_which_its_holding_time_is_over) {
    for (int scans_before = 1; scans_before <= 10; ++scans_before) {
        Watch watch(four_pumps_with_one_transmitter());
        ASSERT_TRUE(watch.one_on_drive());
        watch.station.inflow_m3s = 0;
        watch.run_for(1_min);
        watch.run_for(scans_before * watch.settings().scan_ms);
        watch.station.low_float_fault.stuck_off = true;
        watch.run_for(watch.settings().floats.hold_ms + watch.settings().scan_ms);
        EXPECT_FALSE(watch.advice->drive_run) << scans_before;
    }
}

TEST(Vote, float_stops_with_the_transmitters_is_no_contradiction) {
    Watch watch;
    watch.station.level_m = 0.45;
    watch.run_for(1_min);
    EXPECT_TRUE(watch.alarm(StationAlarm::low_float));
    EXPECT_FALSE(is_contradiction(watch));
}

TEST(Vote, transmitters_that_differ_have_an_alarm_of_their_own_and_the_higher_value_counts) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.level_error_m[1] = 0.5;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::transmitters_disagree); }, 1_min));
    EXPECT_FALSE(is_contradiction(watch));
    EXPECT_NEAR(watch.advice->measured_m, watch.station.level_m + 0.5, 0.05);
}

TEST(Disproved, low_float_that_is_dry_while_the_high_float_and_the_transmitter_show_water_is_not_heard) {
    Watch watch(four_pumps_with_one_transmitter());
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.low_float_fault.stuck_off = true;
    ASSERT_TRUE(watch.run_until([&] { return watch.station.level_m > 3.55; }, 60_min))
        << "the pumps are stopped";
    ASSERT_TRUE(watch.run_until([&] { return watch.station.level_m < 3.0; }, 60_min))
        << "both floats operated";
    watch.run_for(60_min);
    EXPECT_TRUE(a_pump_runs(watch));
    EXPECT_NEAR(watch.station.level_m, watch.settings().marks.setpoint_m, 0.3);
    EXPECT_TRUE(is_contradiction(watch));
    watch.station.low_float_fault.stuck_off = false;
    watch.run_for(1_min);
    EXPECT_FALSE(is_contradiction(watch));
}

TEST(Disproved, high_float_that_is_wet_while_the_low_float_and_the_transmitter_show_none_is_not_heard) {
    Watch watch(four_pumps_with_one_transmitter());
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.high_float_fault.stuck_on = true;
    ASSERT_TRUE(
        watch.run_until([&] { return watch.alarm(StationAlarm::low_float) || !a_pump_runs(watch); }, 60_min));
    watch.run_for(2_min);
    watch.station.inflow_m3s = 0.3;
    const std::size_t before = drive_starts(watch);
    watch.run_for(60_min);
    EXPECT_LE(drive_starts(watch), before + 3) << "the transmitter decides again";
    EXPECT_GT(watch.station.level_m, 1.0);
    EXPECT_TRUE(is_contradiction(watch));
}

TEST(Drift, downwards_that_the_high_float_exposes_twice_costs_the_transmitter_its_credit) {
    Watch watch(four_pumps_with_one_transmitter());
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 0.9;
    drift(watch, 0, -0.004, 10_min);
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->service == Service::floats; }, 120_min));
    EXPECT_EQ(watch.advice->measured_cause, Cause::contradicted);
    watch.run_for(60_min);
    EXPECT_LT(watch.station.level_m, 4.0);
}

TEST(Vote, floats_alone_serve_when_no_transmitter_is_believed) {
    Watch watch;
    watch.station.level_quality = {Quality::bad, Quality::bad};
    watch.run_for(1_min);
    EXPECT_EQ(watch.advice->service, Service::floats);
    EXPECT_FALSE(is_contradiction(watch));
}

TEST(Vote, of_witnesses_that_agree_raises_no_alarm) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(10_min);
    EXPECT_FALSE(is_contradiction(watch));
    EXPECT_FALSE(watch.alarm(StationAlarm::transmitters_disagree));
}

// Transmitters that are not believed
// ------------------------------------------------------------

TEST(Jump, of_a_lone_transmitter_is_not_believed_for_ten_minutes) {
    Watch watch(four_pumps_with_one_transmitter());
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.level_error_m[0] = 2.0;
    watch.run_for(9'900);
    EXPECT_EQ(watch.advice->measured_quality, Quality::bad);
    EXPECT_EQ(contradiction(watch), Contradiction::jumped);
    watch.run_for(9_min);
    EXPECT_EQ(watch.advice->measured_quality, Quality::bad);
    EXPECT_EQ(watch.advice->service, Service::floats);
    EXPECT_TRUE(is_contradiction(watch));
    watch.run_for(2_min);
    EXPECT_EQ(watch.advice->measured_quality, Quality::good) << "time clears a lone transmitter";
}

TEST(Jump, that_the_calling_float_confirms_is_believed) {
    Watch watch(four_pumps_with_one_transmitter());
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.level_m = 3.9;
    watch.run_for(20_s);
    EXPECT_EQ(watch.advice->measured_quality, Quality::good);
    EXPECT_NEAR(watch.advice->measured_m, watch.station.level_m, 0.1);
}

TEST(Jump, back_to_where_the_balance_expects_the_water_is_believed) {
    Watch watch(four_pumps_with_one_transmitter());
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(2_min);
    watch.station.level_error_m[0] = 2.0;
    watch.run_for(2_min);
    ASSERT_EQ(watch.advice->measured_quality, Quality::bad);
    watch.station.level_error_m[0] = 0;
    watch.run_for(20_s);
    EXPECT_EQ(watch.advice->measured_quality, Quality::good);
}

TEST(Jump, of_one_of_two_transmitters_leaves_the_other_until_the_two_agree_again) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.level_error_m[0] = 2.0;
    watch.run_for(1_min);
    EXPECT_EQ(watch.advice->service, Service::one_transmitter);
    EXPECT_EQ(watch.advice->measured_quality, Quality::good);
    EXPECT_EQ(watch.advice->transmitters[0].quality, Quality::bad);
    watch.station.level_error_m[0] = 0;
    watch.run_for(20_s);
    EXPECT_EQ(watch.advice->service, Service::normal);
}

TEST(Jump, of_one_of_two_transmitters_is_not_cleared_by_time_while_the_other_is_good) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.level_error_m[0] = 1.5;
    watch.run_for(30_min);
    EXPECT_EQ(contradiction(watch), Contradiction::jumped);
    EXPECT_EQ(watch.advice->service, Service::one_transmitter);
    EXPECT_NEAR(watch.advice->measured_m, watch.station.level_m, 0.1) << "the other transmitter counts";
}

TEST(Jump, of_one_of_two_transmitters_is_not_cleared_by_a_float_that_the_other_shows_too) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.level_error_m[0] = 1.5;
    watch.run_for(30_s);
    ASSERT_EQ(watch.advice->transmitters[0].quality, Quality::bad);
    watch.station.inflow_m3s = 6;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::high_float); }, 10_min));
    watch.station.inflow_m3s = 1.5;
    watch.run_for(10_s);
    EXPECT_EQ(watch.advice->transmitters[0].quality, Quality::bad);
    EXPECT_EQ(watch.advice->transmitters[1].quality, Quality::good);
}

TEST(Jump, of_a_lone_transmitter_is_not_cleared_by_time_while_the_low_float_opposes) {
    Watch watch(four_pumps_with_one_transmitter());
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 0;
    watch.run_for(1_min);
    watch.station.level_error_m[0] = 1.5;
    watch.run_for(30_s);
    ASSERT_EQ(contradiction(watch), Contradiction::jumped);
    watch.station.low_float_fault.stuck_off = true;
    watch.run_for(12_min);
    EXPECT_EQ(watch.advice->measured_quality, Quality::bad);
}

TEST(Jump, of_two_transmitters_to_the_same_value_is_believed) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.level_m = 3.4;
    watch.run_for(15_s);
    EXPECT_EQ(watch.advice->measured_quality, Quality::good);
    EXPECT_NEAR(watch.advice->measured_m, watch.station.level_m, 0.1);
}

TEST(Fall, that_no_pump_can_cause_is_not_believed) {
    Watch watch(four_pumps_with_one_transmitter());
    watch.station.level_m = 2.0;
    watch.run_for(1_min);
    drift(watch, 0, -0.002, 4_min);
    EXPECT_EQ(watch.advice->measured_quality, Quality::bad);
    EXPECT_EQ(watch.advice->measured_cause, Cause::contradicted);
    EXPECT_EQ(contradiction(watch), Contradiction::fell);
}

TEST(Fall, that_the_pumps_cause_is_believed) {
    Watch watch(four_pumps_with_one_transmitter());
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 0;
    ASSERT_TRUE(watch.run_until([&] { return !a_pump_runs(watch); }, 60_min));
    EXPECT_LT(watch.station.level_m, 1.1);
    EXPECT_EQ(watch.advice->measured_quality, Quality::good);
}

TEST(Fall, of_two_transmitters_that_agree_is_believed) {
    Watch watch;
    watch.station.level_m = 2.0;
    watch.run_for(1_min);
    constexpr double unseen_pump_m3s = -0.4;  // a pump that the controller does not know
    watch.station.inflow_m3s = unseen_pump_m3s;
    watch.run_for(5_min);
    EXPECT_EQ(watch.advice->measured_quality, Quality::good);
}

/// A lone transmitter drifts upwards until the low float stops the pump.
Watch stopped_by_the_float_against_a_drifting_transmitter() {
    Watch watch(four_pumps_with_one_transmitter());
    EXPECT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 0.1;
    for (int minute = 0; minute < 60 && a_pump_runs(watch); ++minute) drift(watch, 0, 0.004, 1_min);
    EXPECT_EQ(voted(watch), Vote::float_stops_against_level);
    return watch;
}

TEST(Drift, that_a_working_float_exposes_costs_the_transmitter_its_credit) {
    Watch watch = stopped_by_the_float_against_a_drifting_transmitter();
    watch.run_for(20_min);
    const std::size_t before = drive_starts(watch);
    EXPECT_LE(before, 3U);
    watch.run_for(20_min);
    EXPECT_EQ(watch.advice->measured_cause, Cause::contradicted);
    EXPECT_EQ(watch.advice->service, Service::floats);
    EXPECT_TRUE(is_contradiction(watch));
    EXPECT_EQ(drive_starts(watch), before);
    watch.station.inflow_m3s = 1.5;
    EXPECT_TRUE(watch.run_until([&] { return drive_starts(watch) > before; }, 60_min))
        << "the high float calls";
    EXPECT_GT(watch.station.level_m, 3.5);
}

TEST(Drift, is_forgiven_when_the_repaired_transmitter_agrees_with_the_float) {
    Watch watch = stopped_by_the_float_against_a_drifting_transmitter();
    watch.run_for(20_min);
    ASSERT_EQ(watch.advice->measured_cause, Cause::contradicted);
    watch.station.level_fault[0].loop_ma = 0;  // taken off for repair
    watch.run_for(1_min);
    watch.station.level_fault[0] = {};
    watch.station.level_error_m[0] = 0;
    watch.run_for(1_min);
    EXPECT_EQ(watch.advice->measured_quality, Quality::good);
    EXPECT_FALSE(is_contradiction(watch));
}

}  // namespace
}  // namespace freshet::core
