// The core's check of its settings, and a controller that refuses senseless settings.
// One reason to change: a rule for settings.
#include "controller/core/settings_check.hpp"

#include <gtest/gtest.h>

#include <array>
#include <limits>
#include <ostream>
#include <random>
#include <set>
#include <vector>

#include "controller/core/controller.hpp"
#include "tests/doubles/station_double.hpp"

namespace freshet::core {

void PrintTo(SettingsFault fault, std::ostream* out) {
    *out << "fault " << static_cast<int>(fault);
}

namespace {

using Fault = SettingsFault;

constexpr std::int32_t over_a_week_ms = 604'800'001;
constexpr std::int32_t over_a_day_ms = 86'400'001;
constexpr std::int64_t over_a_century_ms = 3'162'240'000'001;

/// Sound settings to which every rule applies, with succession and a pressure limit.
Settings sound() {
    Settings s = doubles::four_pumps();
    s.pressure_transmitter = {true, 0, 50};
    s.permissives.discharge_pressure_max_m = 45;
    s.sleep = {true, 0.5 * (s.marks.stage_up_m + s.marks.high_alarm_m),
               0.5 * (s.marks.stop_m + s.marks.low_cutoff_m)};
    s.draw_down = {{1, 0, 1000}, 0.5 * (s.marks.stop_m + s.marks.low_cutoff_m)};
    s.succession = {.cold_starts_max = 2,
                    .warm_starts_max = 1,
                    .cool_ms = 1'800'000,
                    .rest_ms = 300'000,
                    .even_run_ms = 600'000,
                    .drive_starts_count = true};
    return s;
}

/// Sound marks for the three lag pumps.
void give_lag_marks(Settings& s) {
    const double up_m = s.marks.stage_up_m, down_m = s.marks.stage_down_m;
    s.staging.lag = {{{up_m, down_m}, {up_m + 0.1, down_m}, {up_m + 0.2, down_m + 0.1}}};
    s.staging.lag_count = 3;
}

/// One way to spoil sound settings, and the one fault that the check must find.
struct Spoil {
    Fault fault;
    void (*spoil)(Settings& s);
    std::uint8_t index = 0;
};

constexpr auto spoils = std::to_array<Spoil>({
        {Fault::pump_count, [](Settings& s) { s.pump_count = 0; }},
        {Fault::pump_count, [](Settings& s) { s.pump_count = 1; }},
        {Fault::pump_count, [](Settings& s) { s.pump_count = 9; }},
        {Fault::pump_count, [](Settings& s) { s.pump_count = 255; }},
        {Fault::scan, [](Settings& s) { s.scan_ms = 19; }},
        {Fault::scan, [](Settings& s) { s.scan_ms = -100; }},
        {Fault::action, [](Settings& s) { s.action = static_cast<Action>(2); }},
        {Fault::measured, [](Settings& s) { s.measured = static_cast<Measured>(2); }},

        {Fault::stop_mark, [](Settings& s) { s.marks.stop_m = s.marks.low_cutoff_m; }},
        {Fault::stage_down_mark, [](Settings& s) { s.marks.stage_down_m = s.marks.stop_m; }},
        {Fault::start_mark, [](Settings& s) { s.marks.start_m = s.marks.stop_m; }},
        {Fault::setpoint_mark, [](Settings& s) { s.marks.setpoint_m = s.marks.stage_down_m; }},
        {Fault::stage_up_mark,
         [](Settings& s) { s.marks.start_m = s.marks.stage_up_m = s.marks.setpoint_m; }},
        {Fault::start_past_stage_up, [](Settings& s) { s.marks.start_m = 2.7; }},
        {Fault::high_alarm_mark, [](Settings& s) { s.marks.high_alarm_m = s.marks.stage_up_m; }},
        {Fault::deadband, [](Settings& s) { s.marks.deadband_m = -0.1; }},
        {Fault::deadband, [](Settings& s) { s.marks.deadband_m = 0.7; }},

        {Fault::level_range,
         [](Settings& s) {
             s.level_transmitter[1] = {true, 5, 5};
         },
         1},
        {Fault::level_not_measured,
         [](Settings& s) {
             s.level_transmitter = {};
             s.floats.fitted = false;
         }},
        {Fault::pressure_range,
         [](Settings& s) {
             s.pressure_transmitter = {true, 50, 50};
         }},
        {Fault::pressure_not_measured, [](Settings& s) { s.pressure_transmitter.fitted = false; }},
        {Fault::selection, [](Settings& s) { s.signal.selection = static_cast<Selection>(3); }},
        {Fault::stale, [](Settings& s) { s.signal.stale_ms = 99; }},
        {Fault::fault_hold, [](Settings& s) { s.signal.fault_hold_ms = -1; }},
        {Fault::value_rate, [](Settings& s) { s.signal.rate_max_m_s = 0; }},
        {Fault::disagreement, [](Settings& s) { s.signal.disagreement_m = 0; }},
        {Fault::disagreement_hold, [](Settings& s) { s.signal.disagreement_hold_ms = -1; }},
        {Fault::freeze, [](Settings& s) { s.signal.freeze_ms = -1; }},
        {Fault::recover, [](Settings& s) { s.signal.recover_ms = -1; }},

        {Fault::store_points, [](Settings& s) { s.store_points = 0; }},
        {Fault::store_points, [](Settings& s) { s.store_points = 1; }},
        {Fault::store_order, [](Settings& s) { s.store[1].level_m = s.store[0].level_m; }, 1},
        {Fault::store_order, [](Settings& s) { s.store[1].volume_m3 = s.store[0].volume_m3; }, 1},
        {Fault::weir, [](Settings& s) { s.weir.coefficient_m15_s = -1; }},
        {Fault::curve_points, [](Settings& s) { s.curve_points = 0; }},
        {Fault::curve_begin, [](Settings& s) { s.curve[0].flow_m3s = 0.1; }},
        {Fault::curve_order, [](Settings& s) { s.curve[2].flow_m3s = s.curve[1].flow_m3s; }, 2},
        {Fault::curve_order, [](Settings& s) { s.curve[3].head_m = s.curve[2].head_m; }, 3},
        {Fault::curve_end, [](Settings& s) { s.curve[4].head_m = -1; }},
        {Fault::minimum_flow, [](Settings& s) { s.minimum_flow_m3s = -0.1; }},
        {Fault::minimum_flow, [](Settings& s) { s.minimum_flow_m3s = s.curve[4].flow_m3s; }},
        {Fault::branch_loss, [](Settings& s) { s.branch_loss_s2m5 = -1; }},
        {Fault::rated_current, [](Settings& s) { s.rated_current_a = 0; }},
        {Fault::curve_current, [](Settings& s) { s.curve_current_a[1] = -1; }, 1},
        {Fault::no_load_current, [](Settings& s) { s.no_load_current_a = -1; }},

        {Fault::line_frequency, [](Settings& s) { s.drive.line_frequency_hz = 0; }},
        {Fault::line_voltage, [](Settings& s) { s.drive.line_voltage_v = 0; }},
        {Fault::rated_slip, [](Settings& s) { s.drive.rated_slip_ratio = 0.5; }},
        {Fault::speed_max, [](Settings& s) { s.drive.speed_max_hz = 651; }},
        {Fault::speed_max,
         [](Settings& s) {
             s.drive.speed_min_hz = 0;
             s.drive.speed_max_hz = 30;
         }},
        {Fault::speed_min, [](Settings& s) { s.drive.speed_min_hz = -1; }},
        {Fault::speed_min, [](Settings& s) { s.drive.speed_min_hz = 60; }},
        {Fault::ramp_up, [](Settings& s) { s.drive.ramp_up_hz_s = 0; }},
        {Fault::ramp_down, [](Settings& s) { s.drive.ramp_down_hz_s = -4; }},
        {Fault::speed_tolerance, [](Settings& s) { s.drive.tolerance_hz = 0; }},
        {Fault::arrest, [](Settings& s) { s.demand.arrest_s = 0; }},
        {Fault::speed_rate, [](Settings& s) { s.demand.rate_max_hz_s = 0; }},
        {Fault::draw_speed, [](Settings& s) { s.draw.speed_hz[0] = -1; }},
        {Fault::draw_speed, [](Settings& s) { s.draw.speed_hz[2] = s.drive.speed_max_hz + 1; }, 2},
        {Fault::wake_mark, [](Settings& s) { s.sleep.wake_m = s.marks.high_alarm_m; }},
        {Fault::boost_mark, [](Settings& s) { s.sleep.boost_m = s.marks.stop_m; }},
        {Fault::flow_loss, [](Settings& s) { s.flow_setpoint.loss_s2m5 = -1; }},
        {Fault::flow_rise, [](Settings& s) { s.flow_setpoint.rise_max_m = -1; }},
        {Fault::flow_rise, [](Settings& s) { s.flow_setpoint.rise_max_m = 100; }},
        {Fault::cheap_hours, [](Settings& s) { s.cheap.hours = 1U << 24U; }},
        {Fault::cheap_rise, [](Settings& s) { s.cheap.rise_m = 100; }},
        {Fault::utc_offset, [](Settings& s) { s.utc_offset_ms = over_a_day_ms; }},
        {Fault::draw_down_time, [](Settings& s) { s.draw_down.time.at_ms = over_a_day_ms; }},
        {Fault::draw_down_level, [](Settings& s) { s.draw_down.level_m = s.marks.low_cutoff_m; }},
        {Fault::scour_time, [](Settings& s) { s.scour.time.days = 0x80; }},
        {Fault::scour_flow, [](Settings& s) { s.scour.flow_m3s = -1; }},
        {Fault::scour_lasts, [](Settings& s) { s.scour.lasts_ms = -1; }},

        {Fault::up_delay, [](Settings& s) { s.staging.up_delay_ms = -1; }},
        {Fault::down_delay, [](Settings& s) { s.staging.down_delay_ms = -1; }},
        {Fault::observer, [](Settings& s) { s.staging.observer_s = 0; }},
        {Fault::forecast_margin, [](Settings& s) { s.staging.forecast_margin = 0.9; }},
        {Fault::lag_count, [](Settings& s) {
             give_lag_marks(s);
             s.staging.lag_count = 2;
         }},
        {Fault::lag_start,
         [](Settings& s) {
             give_lag_marks(s);
             s.staging.lag[1].start_m = s.staging.lag[0].start_m - 0.01;
         },
         1},
        {Fault::lag_stop,
         [](Settings& s) {
             give_lag_marks(s);
             s.staging.lag[2].stop_m = s.staging.lag[2].start_m;
         },
         2},

        {Fault::slip_max, [](Settings& s) { s.sync.slip_max_hz = 0; }},
        {Fault::voltage_max, [](Settings& s) { s.sync.voltage_max_ratio = 3; }},
        {Fault::angle_max, [](Settings& s) { s.sync.angle_max_deg = 61; }},
        {Fault::sync_hold, [](Settings& s) { s.sync.hold_ms = -1; }},
        {Fault::line_side_closing, [](Settings& s) { s.sync.line_side_closing_ms = -60; }},
        {Fault::drive_side_closing, [](Settings& s) { s.sync.drive_side_closing_ms = -60; }},
        {Fault::sync_age, [](Settings& s) { s.sync.age_max_ms = 99; }},

        {Fault::step_close, [](Settings& s) { s.step.close_ms = 99; }},
        {Fault::step_open, [](Settings& s) { s.step.open_ms = 0; }},
        {Fault::step_overlap, [](Settings& s) { s.step.overlap_ms = 0; }},
        {Fault::drive_start, [](Settings& s) { s.step.drive_start_ms = over_a_week_ms; }},
        {Fault::ramp_margin, [](Settings& s) { s.step.ramp_margin_ms = over_a_week_ms; }},
        {Fault::synchronise, [](Settings& s) { s.step.synchronise_ms = -1; }},
        {Fault::synchronise_expected, [](Settings& s) { s.step.synchronise_expected_ms = -1; }},
        {Fault::retry_pause, [](Settings& s) { s.step.retry_pause_ms = -1; }},
        {Fault::transfer_pause, [](Settings& s) { s.step.transfer_pause_ms = -1; }},
        {Fault::attempts_max, [](Settings& s) { s.step.attempts_max = 0; }},

        {Fault::rest_min, [](Settings& s) { s.permissives.rest_min_ms = -1; }},
        {Fault::run_min, [](Settings& s) { s.permissives.run_min_ms = -1; }},
        {Fault::starts_per_hour, [](Settings& s) { s.permissives.starts_per_hour_max = 0; }},
        {Fault::transfers_per_hour, [](Settings& s) { s.permissives.transfers_per_hour_max = 0; }},
        {Fault::trips_per_hour, [](Settings& s) { s.permissives.trips_per_hour_max = 0; }},
        {Fault::trips_per_hour, [](Settings& s) { s.permissives.trips_per_hour_max = 13; }},
        {Fault::residual_voltage, [](Settings& s) { s.permissives.residual_voltage_ms = -1; }},
        {Fault::winding_temperature, [](Settings& s) { s.permissives.winding_temperature_max_k = 155; }},
        {Fault::pumps_on_line, [](Settings& s) { s.permissives.pumps_max_on_line = 0; }},
        {Fault::current_loss, [](Settings& s) { s.permissives.current_loss_ms = -1; }},
        {Fault::pressure_max, [](Settings& s) { s.permissives.discharge_pressure_max_m = -1; }},
        {Fault::pressure_hold, [](Settings& s) { s.permissives.discharge_pressure_hold_ms = -1; }},

        {Fault::delivery_hold, [](Settings& s) { s.delivery.hold_ms = -1; }},
        {Fault::delivery_lost, [](Settings& s) { s.delivery.lost_max_ratio = 0; }},

        {Fault::warm_starts, [](Settings& s) { s.succession.warm_starts_max = 0; }},
        {Fault::warm_starts, [](Settings& s) { s.succession.warm_starts_max = 3; }},
        {Fault::cool, [](Settings& s) { s.succession.cool_ms = over_a_century_ms; }},
        {Fault::succession_rest, [](Settings& s) { s.succession.rest_ms = 1'800'001; }},
        {Fault::even_run, [](Settings& s) { s.succession.even_run_ms = 0; }},

        {Fault::line_start_spacing, [](Settings& s) { s.line_start.spacing_ms = -1; }},
        {Fault::supply_dip, [](Settings& s) { s.line_start.supply_dip_max_ratio = 0; }},
        {Fault::short_circuit, [](Settings& s) { s.line_start.short_circuit_va = -1; }},
        {Fault::locked_rotor_current, [](Settings& s) { s.line_start.locked_rotor_current_ratio = 0; }},
        {Fault::float_hold, [](Settings& s) { s.floats.hold_ms = -1; }},
        {Fault::float_run_on, [](Settings& s) { s.floats.run_on_ms = -1; }},
        {Fault::settle, [](Settings& s) { s.restart.settle_ms = -1; }},
        {Fault::start_spacing, [](Settings& s) { s.restart.spacing_ms = -1; }},
        {Fault::drive_wait, [](Settings& s) { s.restart.drive_wait_ms = -1; }},
        {Fault::voltage_min, [](Settings& s) { s.supply.voltage_min_ratio = 80; }},
        {Fault::frequency_band, [](Settings& s) { s.supply.frequency_band_ratio = 0; }},
        {Fault::supply_lost_hold, [](Settings& s) { s.supply.lost_hold_ms = -1; }},

        {Fault::rotation, [](Settings& s) { s.rotation = static_cast<Rotation>(5); }},
        {Fault::preference, [](Settings& s) { s.preference[7] = static_cast<Preference>(200); }, 7},
        {Fault::places,
         [](Settings& s) {
             s.rotation = Rotation::order;
             s.place = {0, 1, 1, 3};
         },
         2},
        {Fault::exercise, [](Settings& s) { s.exercise_ms = -1; }},
        {Fault::run_longest, [](Settings& s) { s.run_longest_ms = -1; }},
        {Fault::initial_hours, [](Settings& s) { s.run_ms_initial[3] = over_a_century_ms; }, 3},
});

/// Spoiled losses of the main and levels at the ends of the main.
const std::vector<Spoil>& spoils_of_the_main() {
    static const std::vector<Spoil> all{
        {Fault::main_loss, [](Settings& s) { s.main[0].loss_s2m5 = -1; }},
        {Fault::main_loss, [](Settings& s) { s.main[0].flow_m3s = -1; }},
        {Fault::main_loss,
         [](Settings& s) {
             s.main[1] = s.main[0];
             s.main_points = 2;
         },
         1},
        {Fault::main_loss,
         [](Settings& s) {  // 3.2 m at 2 m3/s, and 3.1 m within the piece from there to 2.4 m3/s
             s.main = {{{2, 0.8}, {2.4, 0.5}}};
             s.main_points = 2;
         },
         1},
        {Fault::main_inertia, [](Settings& s) { s.main_inertia_s2m2 = -1; }},
        {Fault::discharge_level, [](Settings& s) { s.discharge_level_m = 1e300; }},
        {Fault::suction_level, [](Settings& s) { s.suction_level_m = 1e300; }},
    };
    return all;
}

/// Faults that break other rules too: points beyond the room of a table have no sense either.
const std::vector<Spoil>& spoils_of_more() {
    static const std::vector<Spoil> all{
        {Fault::scan, [](Settings& s) { s.scan_ms = 1001; }},
        {Fault::store_points, [](Settings& s) { s.store_points = 17; }},
        {Fault::curve_points, [](Settings& s) { s.curve_points = 1; }},
        {Fault::curve_points, [](Settings& s) { s.curve_points = 65; }},
        {Fault::main_points, [](Settings& s) { s.main_points = 25; }},
        {Fault::cool, [](Settings& s) { s.succession.cool_ms = 0; }},
        {Fault::action,
         [](Settings& s) {
             s = {};
             s.pump_count = 2;
             s.action = static_cast<Action>(9);
         }},
        {Fault::pump_count, [](Settings& s) { s = {}; }},
    };
    return all;
}

/// Every double of the settings. Of the tables only the points in use.
std::vector<double*> numbers(Settings& s) {
    std::vector<double*> all{&s.marks.setpoint_m,
                             &s.marks.deadband_m,
                             &s.marks.start_m,
                             &s.marks.stop_m,
                             &s.marks.stage_up_m,
                             &s.marks.stage_down_m,
                             &s.marks.low_cutoff_m,
                             &s.marks.high_alarm_m,
                             &s.pressure_transmitter.value_at_4ma_m,
                             &s.pressure_transmitter.value_at_20ma_m,
                             &s.signal.rate_max_m_s,
                             &s.signal.disagreement_m,
                             &s.minimum_flow_m3s,
                             &s.branch_loss_s2m5,
                             &s.weir.crest_m,
                             &s.weir.coefficient_m15_s,
                             &s.main_inertia_s2m2,
                             &s.discharge_level_m,
                             &s.suction_level_m,
                             &s.rated_current_a,
                             &s.no_load_current_a,
                             &s.delivery.lost_max_ratio,
                             &s.drive.line_frequency_hz,
                             &s.drive.line_voltage_v,
                             &s.drive.rated_slip_ratio,
                             &s.drive.speed_max_hz,
                             &s.drive.speed_min_hz,
                             &s.drive.ramp_up_hz_s,
                             &s.drive.ramp_down_hz_s,
                             &s.drive.tolerance_hz,
                             &s.demand.arrest_s,
                             &s.demand.rate_max_hz_s,
                             &s.sleep.wake_m,
                             &s.sleep.boost_m,
                             &s.flow_setpoint.loss_s2m5,
                             &s.flow_setpoint.rise_max_m,
                             &s.cheap.rise_m,
                             &s.draw_down.level_m,
                             &s.scour.flow_m3s,
                             &s.staging.observer_s,
                             &s.staging.forecast_margin,
                             &s.sync.slip_max_hz,
                             &s.sync.voltage_max_ratio,
                             &s.sync.angle_max_deg,
                             &s.permissives.winding_temperature_max_k,
                             &s.permissives.discharge_pressure_max_m,
                             &s.line_start.supply_dip_max_ratio,
                             &s.line_start.short_circuit_va,
                             &s.line_start.locked_rotor_current_ratio,
                             &s.supply.voltage_min_ratio,
                             &s.supply.frequency_band_ratio};
    for (double& speed_hz : s.draw.speed_hz) all.push_back(&speed_hz);
    for (TransmitterSettings& one : s.level_transmitter)
        all.insert(all.end(), {&one.value_at_4ma_m, &one.value_at_20ma_m});
    for (std::size_t i = 0; i < s.store_points; ++i)
        all.insert(all.end(), {&s.store[i].level_m, &s.store[i].volume_m3});
    for (std::size_t i = 0; i < s.curve_points; ++i)
        all.insert(all.end(), {&s.curve[i].flow_m3s, &s.curve[i].head_m, &s.curve_current_a[i]});
    for (std::size_t i = 0; i < s.main_points; ++i)
        all.insert(all.end(), {&s.main[i].flow_m3s, &s.main[i].loss_s2m5});
    return all;
}

/// Every time of the settings in milliseconds of 32 bits.
std::vector<std::int32_t*> times(Settings& s) {
    return {&s.scan_ms,
            &s.signal.stale_ms,
            &s.signal.fault_hold_ms,
            &s.signal.disagreement_hold_ms,
            &s.signal.freeze_ms,
            &s.signal.recover_ms,
            &s.staging.up_delay_ms,
            &s.staging.down_delay_ms,
            &s.draw_down.time.at_ms,
            &s.draw_down.time.within_ms,
            &s.scour.time.at_ms,
            &s.scour.time.within_ms,
            &s.scour.lasts_ms,
            &s.sync.hold_ms,
            &s.sync.line_side_closing_ms,
            &s.sync.drive_side_closing_ms,
            &s.sync.age_max_ms,
            &s.step.close_ms,
            &s.step.open_ms,
            &s.step.overlap_ms,
            &s.step.drive_start_ms,
            &s.step.ramp_margin_ms,
            &s.step.synchronise_ms,
            &s.step.synchronise_expected_ms,
            &s.step.retry_pause_ms,
            &s.step.transfer_pause_ms,
            &s.permissives.rest_min_ms,
            &s.permissives.run_min_ms,
            &s.permissives.residual_voltage_ms,
            &s.permissives.current_loss_ms,
            &s.permissives.discharge_pressure_hold_ms,
            &s.delivery.hold_ms,
            &s.line_start.spacing_ms,
            &s.floats.hold_ms,
            &s.floats.run_on_ms,
            &s.restart.settle_ms,
            &s.restart.spacing_ms,
            &s.restart.drive_wait_ms,
            &s.supply.lost_hold_ms};
}

static_assert(sizeof(Settings) == 3296,
              "a setting was added or removed: update its rule, its spoil and the lists above");

std::vector<Spoil> all_spoils() {
    std::vector<Spoil> all(spoils.begin(), spoils.end());
    all.insert(all.end(), spoils_of_the_main().begin(), spoils_of_the_main().end());
    return all;
}

std::vector<Fault> broken_by(const Settings& settings) {
    std::vector<Fault> broken;
    for (const SettingsRule& rule : settings_rules())
        if (!rule.judge(settings).holds) broken.push_back(rule.fault);
    return broken;
}

TEST(SettingsCheck, finds_nothing_in_sound_settings) {
    EXPECT_TRUE(check(sound()).sound());
    EXPECT_TRUE(check(doubles::four_pumps()).sound());
    EXPECT_TRUE(check(doubles::four_pumps_holding_a_pressure()).sound());
}

TEST(SettingsCheck, takes_marks_of_lag_pumps_that_are_equal_or_rise) {
    Settings settings = sound();
    give_lag_marks(settings);
    EXPECT_TRUE(check(settings).sound());
    settings.staging.lag[2] = settings.staging.lag[1];
    EXPECT_TRUE(check(settings).sound());
    settings.staging.lag[0] = {settings.marks.start_m, settings.marks.stop_m};
    EXPECT_TRUE(check(settings).sound());
}

TEST(SettingsCheck, finds_exactly_the_fault_that_spoils_sound_settings) {
    for (const Spoil& given : all_spoils()) {
        Settings settings = sound();
        given.spoil(settings);
        const SettingsFinding finding = check(settings);
        EXPECT_EQ(finding.fault, given.fault);
        EXPECT_EQ(finding.index, given.index) << static_cast<int>(given.fault);
        EXPECT_EQ(broken_by(settings), std::vector<Fault>{given.fault});
    }
}

TEST(SettingsCheck, finds_the_most_basic_fault_first) {
    for (const Spoil& given : spoils_of_more()) {
        Settings settings = sound();
        given.spoil(settings);
        EXPECT_EQ(check(settings).fault, given.fault);
    }
}

TEST(SettingsCheck, has_a_spoil_for_every_rule_and_a_rule_for_every_fault) {
    EXPECT_EQ(settings_rules().size(), static_cast<std::size_t>(Fault::count) - 1);
    std::set<Fault> spoiled;
    for (const Spoil& given : all_spoils()) spoiled.insert(given.fault);
    for (const Spoil& given : spoils_of_more()) spoiled.insert(given.fault);
    for (const SettingsRule& rule : settings_rules())
        EXPECT_TRUE(spoiled.contains(rule.fault)) << static_cast<int>(rule.fault);
}

TEST(SettingsCheck, gives_the_refused_value_and_its_index) {
    Settings settings = sound();
    settings.demand.arrest_s = -3;
    EXPECT_EQ(check(settings).value, -3);
    settings = sound();
    settings.run_ms_initial[2] = -5;
    EXPECT_EQ(check(settings).value, -5);
    EXPECT_EQ(check(settings).index, 2);
}

TEST(SettingsCheck, refuses_every_number_that_is_not_finite_or_far_out_of_range) {
    Settings settings = sound();
    for (double* number : numbers(settings)) {
        const double before = *number;
        for (const double nonsense :
             {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity(),
              -std::numeric_limits<double>::infinity(), 1e300, -1e300}) {
            *number = nonsense;
            EXPECT_FALSE(check(settings).sound()) << number - &settings.marks.setpoint_m << " " << nonsense;
        }
        *number = before;
    }
}

TEST(SettingsCheck, refuses_every_time_that_is_negative_or_longer_than_a_week) {
    Settings settings = sound();
    for (std::int32_t* time_ms : times(settings)) {
        const std::int32_t before_ms = *time_ms;
        for (const std::int32_t nonsense_ms : {-1, over_a_week_ms, std::numeric_limits<std::int32_t>::min(),
                                               std::numeric_limits<std::int32_t>::max()}) {
            *time_ms = nonsense_ms;
            EXPECT_FALSE(check(settings).sound()) << time_ms - &settings.scan_ms << " " << nonsense_ms;
        }
        *time_ms = before_ms;
    }
}

TEST(SettingsCheck, accepts_values_at_their_bounds) {
    Settings settings = sound();
    settings.pump_count = 2;
    settings.scan_ms = 20;
    EXPECT_TRUE(check(settings).sound());
    settings.pump_count = 8;
    settings.marks.start_m = settings.marks.stage_up_m;
    settings.step.drive_start_ms = settings.step.ramp_margin_ms = over_a_week_ms - 1;
    settings.curve = {{{0, 30}, {1.1, 0}}};
    settings.curve_points = 2;
    EXPECT_TRUE(check(settings).sound());
}

TEST(SettingsCheck, accepts_marks_in_the_mirrored_order_for_filling_only) {
    Settings settings = doubles::four_pumps_holding_a_pressure();
    EXPECT_TRUE(check(settings).sound());
    settings.action = Action::direct;
    EXPECT_EQ(check(settings).fault, Fault::stop_mark);
}

TEST(SettingsCheck, ignores_the_rules_of_succession_where_starts_in_succession_are_not_judged) {
    Settings settings = sound();
    settings.succession = {};
    EXPECT_TRUE(check(settings).sound());
}

/// Number of scans of a station whose level calls for pumps.
constexpr int scans_of_a_case = 120;

TEST(RefusedSettings, keep_the_controller_waiting_without_advice) {
    std::vector<Spoil> all = all_spoils();
    all.insert(all.end(), spoils_of_more().begin(), spoils_of_more().end());
    for (const Spoil& given : all) {
        Settings settings = sound();
        given.spoil(settings);
        Controller controller(settings);
        ASSERT_EQ(controller.refused().fault, given.fault);
        doubles::StationDouble station(sound());
        station.level_m = 3.0;
        station.inflow_m3s = 1;
        for (int i = 0; i < scans_of_a_case; ++i) {
            const Advice& advice = controller.scan(station.look());
            ASSERT_EQ(advice.service, Service::waiting);
            ASSERT_FALSE(advice.drive_run || advice.synchronise || advice.output_close);
            for (const PumpAdvice& pump : advice.pumps)
                ASSERT_FALSE(pump.drive_side_close || pump.line_side_close);
            ASSERT_EQ(advice.next.intention, Intention::none);
            ASSERT_EQ(advice.event_count, 0);
            ASSERT_EQ(advice.time_ms, station.now_ms);
            ASSERT_EQ(advice.scan_count, static_cast<std::uint32_t>(i + 1));
            station.step(advice);
        }
    }
}

TEST(RefusedSettings, leave_the_kept_data_of_an_earlier_controller_unchanged) {
    Retained kept;
    kept.seen_ms = doubles::odd_start_ms;
    kept.pumps[1].run_ms = 123'456;
    kept.drive_locked_out = true;
    Settings settings = sound();
    settings.curve_points = 0;
    Controller controller(settings, &kept);
    doubles::StationDouble station(sound());
    controller.scan(station.look());
    EXPECT_EQ(controller.retained(), kept);
}

TEST(SoundSettings, are_not_refused) {
    EXPECT_TRUE(Controller(sound()).refused().sound());
}

/// Settings that pass the check may still be far from every real station. The sanitizers watch these scans.
TEST(SoundSettings, at_the_ends_of_their_ranges_lead_to_no_undefined_behaviour) {
    std::mt19937 random(20'260'101);
    const auto any_of = [&random](auto list) { return list[random() % list.size()]; };
    const std::vector<double> values{0,   5e-324, 1e-12, 1e-3, 0.5,  1,     10,    31,
                                     300, 400,    650,   1e6,  1e12, -1e12, -1e-3, -1};
    const std::vector<std::int32_t> waits_ms{0, 1, 20, 100, 1000, 60'000, over_a_week_ms - 1};
    int accepted = 0;
    for (int round = 0; round < 350; ++round) {
        Settings settings = sound();
        settings.line_start.allowed = round % 2 == 0;
        for (int change = 0; change < 3; ++change) {
            if (random() % 2 == 0)
                *any_of(numbers(settings)) = any_of(values);
            else
                *any_of(times(settings)) = any_of(waits_ms);
        }
        if (!check(settings).sound()) continue;
        ++accepted;
        Controller controller(settings);
        doubles::StationDouble station(sound());
        station.level_m = 3.0;
        station.inflow_m3s = 2;
        for (int i = 0; i < scans_of_a_case; ++i) station.step(controller.scan(station.look()));
    }
    EXPECT_GT(accepted, 50) << "too few random settings passed the check";
}

}  // namespace
}  // namespace freshet::core
