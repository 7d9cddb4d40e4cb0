// The drive: ramps, trips, starts and losses; its synchroniser on a wandering line.
#include "sim_plant/physics/drive.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/unit/machines/textbook_station.hpp"

namespace freshet::plant {
namespace {

using config::FaultKind;
using testing::textbook_station;

/// A drive with its line, stepped as the power train does.
struct DriveRig {
    explicit DriveRig(std::uint64_t seed = 1, config::Station station = textbook_station())
        : line(station.supply, seed), drive(station.drive, 2300, 60, station.motor.nameplate.power_w) {}
    void order(bool run, bool synchronise, double hz) {
        drive.watch_lock(line.live(), turning_hz);
        drive.order(run, synchronise, hz, turning_hz, line);
    }
    void pass(double seconds, double step_s = 0.005) {
        for (double t = 0; t < seconds - step_s / 2; t += step_s) {
            line.advance(step_s);
            if (drive.synchronising())
                drive.advance_synchronising(step_s, line);
            else if (drive.energised())
                drive.advance_ramp(step_s, drive.ramp_hz_s(1 / step_s, 1e9));
            drive.pass_time(step_s);
            drive.watch_lock(line.live(), turning_hz);
        }
    }
    Line line;
    Drive drive;
    double turning_hz = 0;
};

TEST(Drive, follows_its_reference_by_its_ramps_at_rated_volts_per_hertz) {
    DriveRig rig;
    rig.order(true, false, 40);
    rig.pass(5);
    EXPECT_NEAR(rig.drive.frequency_hz(), 20, 1e-6);
    rig.pass(10);
    EXPECT_NEAR(rig.drive.frequency_hz(), 40, 1e-9);
    EXPECT_NEAR(rig.drive.voltage_v(), 2300.0 * 40 / 60, 1e-6);
    rig.order(true, false, 30);
    rig.pass(1);
    EXPECT_NEAR(rig.drive.frequency_hz(), 36, 1e-6);
}

TEST(Drive, blocks_its_output_at_once_when_run_is_withdrawn) {
    DriveRig rig;
    rig.order(true, false, 40);
    rig.pass(15);
    rig.order(false, false, 40);
    EXPECT_FALSE(rig.drive.running());
    EXPECT_EQ(rig.drive.voltage_v(), 0);
}

TEST(Drive, stays_locked_after_a_trip_until_the_lock_has_run_out_and_run_was_withdrawn) {
    DriveRig rig;
    rig.order(true, false, 40);
    rig.pass(2);
    rig.drive.set_fault(FaultKind::trip, true, 0);
    rig.drive.set_fault(FaultKind::trip, false, 0);
    EXPECT_TRUE(rig.drive.tripped());
    rig.order(true, false, 40);
    rig.pass(40);
    EXPECT_TRUE(rig.drive.tripped()) << "run was never withdrawn";
    rig.order(false, false, 0);
    rig.pass(0.1);
    EXPECT_FALSE(rig.drive.tripped());
    EXPECT_TRUE(rig.drive.ready());

    rig.drive.set_fault(FaultKind::trip, true, 0);
    rig.drive.set_fault(FaultKind::trip, false, 0);
    rig.pass(29);
    EXPECT_TRUE(rig.drive.tripped()) << "the lock lasts 30 s";
    rig.pass(2);
    EXPECT_FALSE(rig.drive.tripped());
}

TEST(Drive, without_flying_start_trips_on_a_turning_motor) {
    DriveRig rig;
    rig.turning_hz = 25;
    rig.order(true, false, 40);
    EXPECT_FALSE(rig.drive.running());
    EXPECT_TRUE(rig.drive.tripped());
}

TEST(Drive, with_flying_start_takes_up_a_turning_motor_at_its_speed) {
    config::Station station = textbook_station();
    station.drive.flying_start = true;
    DriveRig rig(1, station);
    rig.turning_hz = 25;
    rig.order(true, false, 25);
    EXPECT_TRUE(rig.drive.running());
    EXPECT_FALSE(rig.drive.energised()) << "it searches first";
    rig.pass(1.1);
    EXPECT_TRUE(rig.drive.energised());
    EXPECT_NEAR(rig.drive.frequency_hz(), 25, 0.01);
}

TEST(Drive, that_is_not_ready_neither_starts_nor_goes_on) {
    DriveRig rig;
    rig.drive.set_fault(FaultKind::not_ready, true, 0);
    rig.order(true, false, 40);
    EXPECT_FALSE(rig.drive.running());
    rig.drive.set_fault(FaultKind::not_ready, false, 0);
    rig.order(true, false, 40);
    EXPECT_TRUE(rig.drive.running());
    rig.drive.set_fault(FaultKind::not_ready, true, 0);
    rig.order(true, false, 40);
    EXPECT_FALSE(rig.drive.running());
}

TEST(Drive, that_loses_its_reference_holds_the_last_or_falls_back) {
    DriveRig rig;
    rig.order(true, false, 40);
    rig.pass(12);
    rig.drive.set_fault(FaultKind::loses_reference, true, 0);
    rig.order(true, false, 55);
    rig.pass(5);
    EXPECT_NEAR(rig.drive.frequency_hz(), 40, 1e-9);
    rig.drive.set_fault(FaultKind::loses_reference, true, 25);
    rig.pass(5);
    EXPECT_NEAR(rig.drive.frequency_hz(), 25, 1e-9);
}

TEST(Drive, loses_what_its_efficiency_says_at_the_points_it_was_given) {
    const config::Station station = textbook_station();
    const DriveRig rig;
    for (const config::EfficiencyPoint& point : station.drive.efficiency) {
        const double output_w = point.load_ratio * station.motor.nameplate.power_w;
        EXPECT_NEAR(output_w / (output_w + rig.drive.loss_w(output_w)), point.efficiency, 0.01)
            << point.load_ratio;
    }
}

TEST(Synchroniser, comes_into_sync_from_every_angle_on_a_wandering_line) {
    double longest = 0;
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        DriveRig rig(seed);
        rig.order(true, false, 60);
        rig.pass(20, 0.1);
        rig.order(true, true, 60);
        double took = 0;
        while (!rig.drive.in_sync() && took < 30) {
            rig.pass(0.05);
            took += 0.05;
        }
        ASSERT_TRUE(rig.drive.in_sync()) << "seed " << seed;
        longest = std::max(longest, took);
        EXPECT_LT(std::abs(rig.drive.ahead_cycles(rig.line)) * 360, 5) << "seed " << seed;
    }
    EXPECT_LT(longest, 15);
}

TEST(Synchroniser, holds_the_line_within_a_degree_once_it_has_settled) {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        DriveRig rig(seed);
        rig.order(true, false, 60);
        rig.pass(20, 0.1);
        rig.order(true, true, 60);
        rig.pass(20);
        double widest = 0;
        for (int i = 0; i < 600; ++i) {
            rig.pass(0.1);
            widest = std::max(widest, std::abs(rig.drive.ahead_cycles(rig.line)) * 360);
            ASSERT_TRUE(rig.drive.in_sync()) << "seed " << seed << " at " << i * 0.1 << " s";
        }
        EXPECT_LT(widest, 1.5) << "seed " << seed;
    }
}

TEST(Synchroniser, never_reports_in_sync_when_it_settles_at_another_angle) {
    DriveRig rig;
    rig.drive.set_fault(FaultKind::never_in_sync, true, 0);
    rig.order(true, false, 60);
    rig.pass(20, 0.1);
    rig.order(true, true, 60);
    for (int i = 0; i < 600; ++i) {
        rig.pass(0.1);
        ASSERT_FALSE(rig.drive.in_sync()) << i * 0.1 << " s";
    }
    EXPECT_NEAR(rig.drive.ahead_cycles(rig.line) * 360, 40, 2);
}

TEST(Synchroniser, withdraws_its_claim_as_soon_as_it_slips_out) {
    DriveRig rig;
    rig.order(true, false, 60);
    rig.pass(20, 0.1);
    rig.order(true, true, 60);
    rig.pass(20);
    ASSERT_TRUE(rig.drive.in_sync());
    rig.drive.set_fault(FaultKind::slips_out_of_sync, true, 0.3);
    rig.pass(2);
    EXPECT_FALSE(rig.drive.in_sync());
    EXPECT_GT(std::abs(rig.drive.frequency_hz() - rig.line.frequency_hz()), 0.2);
}

TEST(Synchroniser, claims_only_after_its_hold_time_inside_the_window_without_a_break) {
    Synchroniser loop({.slew_hz_s = 0.2, .window_deg = 5, .hold_s = 0.2, .rated_v = 2300});
    loop.engage(60);
    constexpr double inside = 2.0 / 360;
    constexpr double outside = 6.0 / 360;
    const auto pass = [&](double seconds, double ahead_cycles) {
        for (double t = 0; t < seconds - 0.0025; t += 0.005) {
            double hz = 60;
            double volts = 2300;
            loop.advance(0.005, {60, 2300, ahead_cycles}, hz, volts);
        }
    };
    pass(0.15, inside);
    EXPECT_FALSE(loop.in_sync());
    pass(0.02, outside);
    pass(0.15, inside);
    EXPECT_FALSE(loop.in_sync()) << "the break restarts the hold time";
    pass(0.06, inside);
    EXPECT_TRUE(loop.in_sync());
    pass(0.005, outside);
    EXPECT_FALSE(loop.in_sync());
}

TEST(Synchroniser, moves_the_frequency_no_faster_than_its_slew) {
    DriveRig rig;
    rig.order(true, false, 60);
    rig.pass(20, 0.1);
    rig.order(true, true, 60);
    double last = rig.drive.frequency_hz();
    for (int i = 0; i < 4000; ++i) {
        rig.pass(0.005);
        EXPECT_LE(std::abs(rig.drive.frequency_hz() - last), 0.2 * 0.005 + 1e-12);
        last = rig.drive.frequency_hz();
    }
}

}  // namespace
}  // namespace freshet::plant
