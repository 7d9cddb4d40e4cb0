// Cases in which a machine trips and resets by itself, or an auxiliary contact lies for seconds. Each case
// prints its figures. The bound in a case is the figure of the present controller, and the comment behind
// the bound names the aim.
// One reason to change: a case, or the figure that a case may have.
#include <gtest/gtest.h>

#include <iostream>
#include <string>
#include <vector>

#include "controller/core/alarms.hpp"
#include "tests/property/operator_cases/watched_run.hpp"

namespace freshet::operator_cases {
namespace {

using config::FaultKind;

/// A device that trips for a minute, again and again.
void trip_every(Case& one, const std::string& device, double every_s) {
    for (double t_s = every_s; t_s < one.scenario.duration_s; t_s += every_s)
        one.scenario.faults.push_back(fault(device, FaultKind::trip, t_s, s_per_min));
}

TEST(TripCase, pump_that_trips_every_ten_minutes_and_resets_by_itself) {
    // The other pumps are switched off for two hours, so that this pump is the only one.
    Case one = demonstration_well(constant(0.4, 3), 2.2);
    one.settings.permissives.rest_min_ms = 0;
    one.settings.permissives.starts_per_hour_max = 12;
    for (const std::string pump : {"pump_1", "pump_3", "pump_4"})
        one.scenario.faults.push_back(fault(pump, FaultKind::selector_off));
    trip_every(one, "pump_2", 10 * s_per_min);
    bool locked_out = false;
    const Watched figures = watched_run(one, [&](double, const plant::Plant&, const core::Advice& advice) {
        locked_out = advice.pumps[1].state == core::PumpState::locked_out;
    });
    print("pump 2 trips every ten minutes", figures);
    EXPECT_TRUE(locked_out);
    EXPECT_LE(figures.starts, 3);  // a person looks after three trips
}

TEST(TripCase, drive_that_trips_every_ten_minutes_and_resets_by_itself) {
    Case one = demonstration_well(constant(0.9, 3), 2.2);
    trip_every(one, "drive", 10 * s_per_min);
    bool locked_out = false;
    const Watched figures = watched_run(one, [&](double, const plant::Plant&, const core::Advice& advice) {
        locked_out = (advice.station_alarms & core::alarm_bit(core::StationAlarm::drive_locked_out)) != 0;
    });
    print("drive trips every ten minutes", figures);
    EXPECT_TRUE(locked_out);
    EXPECT_EQ(figures.overflow_m3, 0);
    EXPECT_LE(figures.starts - figures.line_starts, 6);
}

TEST(TripCase, contact_that_lies_for_two_seconds_while_its_pump_stops) {
    Case one = demonstration_well(
        {{0, 0.4}, {1200, 0.4}, {1300, 0}, {3 * s_per_h, 0}, {3.1 * s_per_h, 0.4}, {4 * s_per_h, 0.4}}, 3.0);
    bool locked_out_at_the_end = false, was_locked_out = false;
    double stops_s = -1;
    // First the time of the stop, then the lie at that time.
    watched_run(one, [&](double t_s, const plant::Plant&, const core::Advice& advice) {
        if (stops_s < 0 && advice.step == core::Step::stop_open_output) stops_s = t_s;
    });
    ASSERT_GT(stops_s, 0);
    one.scenario.faults.push_back(fault("pump_2.drive_side", FaultKind::lies_closed, stops_s, 2.5));
    const Watched figures = watched_run(one, [&](double, const plant::Plant&, const core::Advice& advice) {
        locked_out_at_the_end = advice.pumps[1].state == core::PumpState::locked_out;
        was_locked_out = was_locked_out || locked_out_at_the_end;
    });
    print("contact lies for two seconds", figures);
    EXPECT_TRUE(was_locked_out) << "the case must meet the stop";
    EXPECT_FALSE(locked_out_at_the_end);
}

}  // namespace
}  // namespace freshet::operator_cases
