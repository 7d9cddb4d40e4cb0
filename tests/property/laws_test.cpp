// Failures that storms and exploration found in the past, as examples that the laws judge.
// One reason to change: a failure that was found.
#include "tests/property/laws.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <limits>
#include <string>

#include "controller/core/alarms.hpp"
#include "controller/core/precedence.hpp"
#include "tests/doubles/station_double.hpp"

namespace freshet::laws {
namespace {

/// A controller at a station, judged by the laws in every scan. `spoil` falsifies what the controller sees, and
/// the judge sees the truth.
struct Watched {
    core::Settings settings = doubles::four_pumps();
    doubles::StationDouble station{settings};
    core::Controller controller{settings};
    void (*spoil)(Inputs&) = nullptr;
    History history;
    std::vector<Broken> broken;

    bool broke(int law) const {
        return std::ranges::any_of(broken, [law](const Broken& one) { return one.law == law; });
    }
    const Advice& scan() {
        const Inputs& inputs = station.look();
        Inputs seen = inputs;
        if (spoil != nullptr) spoil(seen);
        const Advice& advice = controller.scan(seen);
        judge_scan(settings, history, inputs, advice, broken);
        station.step(advice);
        return advice;
    }
    const Advice& scan_for(std::int64_t duration_ms) {
        const std::int64_t end_ms = station.now_ms + duration_ms;
        const Advice* last = nullptr;
        while (last == nullptr || station.now_ms < end_ms) last = &scan();
        return *last;
    }
    /// Scans until `reached` is true. False when this takes more than ten minutes.
    template <class Reached>
    bool scan_until(Reached reached) {
        constexpr std::int64_t most_ms = 600'000;
        const std::int64_t end_ms = station.now_ms + most_ms;
        while (station.now_ms < end_ms)
            if (reached(scan())) return true;
        return false;
    }
};

bool has_alarm(const Advice& advice, core::StationAlarm alarm) {
    return (advice.station_alarms & core::alarm_bit(alarm)) != 0;
}

TEST(Laws, a_drive_that_does_not_stop_after_a_hand_over_raises_an_alarm_and_pumps_start_on_the_line) {
    Watched at;
    at.settings.line_start.allowed = true;
    at.settings.line_start.short_circuit_va = 60e6;
    at.controller = core::Controller(at.settings);
    at.station.level_m = 3.0;
    at.station.inflow_m3s = 1.5;
    at.station.drive_fault.does_not_stop = true;
    ASSERT_TRUE(
        at.scan_until([](const Advice& advice) { return advice.pumps_on_line == 1 && !advice.drive_run; }));

    const bool alarmed = at.scan_until(
        [](const Advice& advice) { return has_alarm(advice, core::StationAlarm::drive_does_not_stop); });
    const bool line_serves = at.scan_until([](const Advice& advice) { return advice.pumps_on_line > 1; });

    EXPECT_TRUE(alarmed);
    EXPECT_TRUE(line_serves);
    EXPECT_TRUE(at.broken.empty());
}

TEST(Laws, a_line_side_seen_closed_stops_the_drive_and_opens_its_output_in_the_same_scan) {
    Watched at;
    at.station.level_m = 2.4;
    at.station.inflow_m3s = 0.4;
    ASSERT_TRUE(at.scan_until(
        [](const Advice& advice) { return advice.pumps[0].state == core::PumpState::on_drive; }));

    at.station.line_side[0].fault.lies_closed = true;
    const Advice& advice = at.scan();

    EXPECT_FALSE(advice.drive_run);
    EXPECT_FALSE(advice.output_close);
    EXPECT_TRUE(at.broken.empty());
}

TEST(Laws, a_lock_out_that_the_selector_resets_starts_no_pump) {
    Watched at;
    at.settings.step.attempts_max = 1;
    at.controller = core::Controller(at.settings);
    at.station.level_m = 3.0;
    at.station.inflow_m3s = 0.4;
    at.station.drive_side[0].fault.does_not_close = true;
    ASSERT_TRUE(at.scan_until(
        [](const Advice& advice) { return advice.pumps[0].state == core::PumpState::locked_out; }));
    for (std::size_t p = 1; p < at.settings.pump_count; ++p) at.station.selector[p] = core::Selector::off;
    at.station.drive_side[0].fault = {};
    at.scan_for(120'000);

    at.station.selector[0] = core::Selector::off;
    at.scan_for(1'000);

    EXPECT_EQ(at.controller.scan(at.station.look()).pumps[0].state, core::PumpState::unavailable);
    EXPECT_TRUE(at.broken.empty());
}

TEST(Laws, forbid_every_start_between_an_emergency_stop_and_the_reset) {
    Watched at;
    at.station.level_m = 2.4;
    at.station.inflow_m3s = 0.4;
    ASSERT_TRUE(at.scan_until(
        [](const Advice& advice) { return advice.pumps[0].state == core::PumpState::on_drive; }));
    at.station.emergency_stop = true;
    at.scan_for(10'000);
    at.station.emergency_stop = false;
    at.scan_for(10'000);
    // A controller that never saw the emergency stop starts a pump.
    at.controller = core::Controller(at.settings);

    const bool started = at.scan_until([](const Advice& advice) { return advice.drive_run; });

    ASSERT_TRUE(started);
    EXPECT_TRUE(at.broke(14));
}

/// Pump 1 alone may run, and rests at 1.8 m, below its setpoint of 2.0 m.
Watched with_one_pump_that_rests_below_the_setpoint() {
    Watched at;
    at.settings.permissives.rest_min_ms = 600'000;
    at.settings.step.retry_pause_ms = 5'000;
    at.controller = core::Controller(at.settings);
    for (std::size_t p = 1; p < at.settings.pump_count; ++p) at.station.selector[p] = core::Selector::off;
    at.station.level_m = 2.2;
    EXPECT_TRUE(at.scan_until(
        [](const Advice& advice) { return advice.pumps[0].state == core::PumpState::on_drive; }));
    EXPECT_TRUE(at.scan_until([](const Advice& advice) { return advice.measured_m < 1.8; }));
    at.station.drive_fault.trips = true;
    EXPECT_TRUE(
        at.scan_until([](const Advice& advice) { return advice.pumps[0].state == core::PumpState::off; }));
    at.station.drive_fault.trips = false;
    at.scan_for(60'000);
    EXPECT_TRUE(at.broken.empty());
    return at;
}

TEST(Laws, forbid_a_rest_to_give_way_below_the_setpoint_while_no_float_calls) {
    Watched at = with_one_pump_that_rests_below_the_setpoint();

    at.spoil = [](Inputs& seen) { seen.high_float.on = true; };  // so the water is always in danger
    at.scan_for(60'000);

    EXPECT_TRUE(at.broke(12));
}

TEST(Laws, permit_a_rest_to_give_way_below_the_setpoint_while_the_float_calls) {
    Watched at = with_one_pump_that_rests_below_the_setpoint();

    at.station.high_float_fault.stuck_on = true;
    const bool started = at.scan_until([](const Advice& advice) { return advice.drive_run; });

    EXPECT_TRUE(started);
    EXPECT_TRUE(at.broken.empty());
}

/// One scan of a station at `level_m`, with advice that reports one event.
std::vector<Broken> judged_with(const core::Event& event, double level_m) {
    const core::Settings settings = doubles::four_pumps();
    doubles::StationDouble station{settings};
    station.level_m = level_m;
    Advice advice;
    advice.measured_m = level_m;
    advice.measured_quality = core::Quality::good;
    advice.events[0] = event;
    advice.event_count = 1;
    History history;
    history.adopted = true;
    history.first = false;
    std::vector<Broken> broken;
    judge_scan(settings, history, station.look(), advice, broken);
    std::erase_if(broken, [](const Broken& one) { return one.law != 12; });
    return broken;
}

TEST(Laws, permit_the_grounds_of_the_table_of_precedence_to_give_way_and_no_other_ground) {
    for (std::uint8_t code = 1; code < static_cast<std::uint8_t>(core::Permissive::count); ++code) {
        const auto ground = static_cast<core::Permissive>(code);
        core::Event yields;
        yields.what = core::EventKind::limit_yielded;
        yields.detail = code;
        yields.pump = 0;

        const bool permitted = judged_with(yields, 3.0).empty();

        EXPECT_EQ(permitted, core::yields_to_water(ground)) << "ground " << int{code};
        EXPECT_FALSE(judged_with(yields, 1.9).empty()) << "below the setpoint, ground " << int{code};
    }
}

/// The station as a new controller finds it: pump 1 runs on the line and pump 2 on the drive, and the level
/// rises from 0.7 m by 0.28 m in half a minute.
Watched with_two_pumps_and_a_rising_level() {
    Watched at;
    at.settings.staging.down_delay_ms = 60'000;
    at.controller = core::Controller(at.settings);
    Advice found;
    found.pumps[0].line_side_close = found.pumps[1].drive_side_close = true;
    found.output_close = found.drive_run = true;
    found.speed_hz = 50;
    found.service = core::Service::normal;
    for (int i = 0; i < 300; ++i) at.station.step(found);
    at.station.level_m = 0.7;
    at.station.inflow_m3s = 2.8;
    return at;
}

TEST(Laws, are_kept_while_the_level_rises_with_two_pumps) {
    Watched at = with_two_pumps_and_a_rising_level();

    at.scan_for(120'000);

    EXPECT_TRUE(at.broken.empty());
}

TEST(Laws, forbid_less_pumping_by_a_controller_that_overlooks_a_rise) {
    Watched at = with_two_pumps_and_a_rising_level();
    // A transmitter with a range of 100 km has so much noise by the controller's own rule that no rise is sure.
    core::Settings coarse = at.settings;
    for (core::TransmitterSettings& range : coarse.level_transmitter) range = {true, 0, 100'000};
    at.controller = core::Controller(coarse);
    at.spoil = [](Inputs& seen) {
        for (core::Transmitter& one : seen.level) one.loop_ma = std::numeric_limits<double>::quiet_NaN();
    };

    at.scan_for(120'000);

    EXPECT_TRUE(at.broke(13));
}

/// Two half minutes with levels `before_m` and `last_m`, and then less pumping for a reason at `now_m`.
bool may_pump_less(core::Reason why, double before_m, double last_m, double now_m) {
    const core::Settings settings = doubles::four_pumps();
    doubles::StationDouble station{settings};
    History history;
    history.adopted = true;
    history.first = false;
    std::vector<Broken> broken;
    const auto judge = [&](double level_m, std::int64_t after_ms, const core::Event* event) {
        station.now_ms += after_ms;
        Advice advice;
        advice.measured_m = level_m;
        advice.measured_quality = core::Quality::good;
        if (event != nullptr) advice.events[advice.event_count++] = *event;
        judge_scan(settings, history, station.look(), advice, broken);
    };
    judge(before_m, 0, nullptr);
    judge(before_m, 30'000, nullptr);
    judge(last_m, 100, nullptr);
    judge(last_m, 30'000, nullptr);
    broken.clear();
    core::Event less;
    less.what = core::EventKind::sequence_begun;
    less.detail = static_cast<std::uint8_t>(core::Sequence::stop_on_drive);
    less.pump = 0;
    less.why = why;
    judge(now_m, 100, &less);
    return std::ranges::none_of(broken, [](const Broken& one) { return one.law == 13; });
}

TEST(Laws, forbid_less_pumping_for_every_reason_of_the_staging_while_the_level_plainly_rises) {
    using core::Reason;
    for (const Reason why : {Reason::demand_at_bottom, Reason::band_ridden, Reason::forecast_empty}) {
        EXPECT_FALSE(may_pump_less(why, 1.2, 1.5, 1.6)) << static_cast<int>(why);
        EXPECT_TRUE(may_pump_less(why, 1.2, 1.3, 1.6)) << "a rise of a deadband may be noise";
        EXPECT_TRUE(may_pump_less(why, 1.6, 1.3, 1.2)) << "the level falls";
        EXPECT_TRUE(may_pump_less(why, 1.2, 1.5, 1.4)) << "the level has turned";
        EXPECT_TRUE(may_pump_less(why, 0.5, 0.8, 0.9)) << "below the stop mark";
    }
    EXPECT_TRUE(may_pump_less(Reason::pump_tripped, 1.2, 1.5, 1.6)) << "a trip is no decision of the staging";
}

}  // namespace
}  // namespace freshet::laws
