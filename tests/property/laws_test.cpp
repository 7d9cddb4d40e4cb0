// Failures that storms and exploration found in the past, as examples that the laws judge.
// One reason to change: a failure that was found.
#include "tests/property/laws.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "controller/core/alarms.hpp"
#include "tests/doubles/station_double.hpp"

namespace freshet::laws {
namespace {

/// A controller at a station, judged by the laws in every scan.
struct Watched {
    core::Settings settings = doubles::four_pumps();
    doubles::StationDouble station{settings};
    core::Controller controller{settings};
    History history;
    std::vector<Broken> broken;

    const Advice& scan() {
        const Inputs& inputs = station.look();
        const Advice& advice = controller.scan(inputs);
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
    EXPECT_TRUE(std::ranges::any_of(at.broken, [](const Broken& broken) { return broken.law == 14; }));
}

}  // namespace
}  // namespace freshet::laws
