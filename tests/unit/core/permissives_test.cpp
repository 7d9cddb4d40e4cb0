// Reasons for which a start, a transfer or a stop is refused. One reason to change: a reason for a refusal.
#include "controller/core/permissives.hpp"

#include <gtest/gtest.h>

#include <functional>
#include <string>
#include <vector>

#include "tests/doubles/station_double.hpp"
#include "tests/unit/core/durations.hpp"
#include "tests/unit/core/instants.hpp"

namespace freshet::core {
namespace {

/// Four pumps at rest for a day, everything in order.
struct Rested {
    Settings settings = doubles::four_pumps();
    SequencerState state;
    Picture picture;
    StationPermit permit{.settled = true, .data_starts = true, .low_cutoff = false, .supply_poor = false};
    std::int64_t wait_ms = 0;

    Rested() {
        picture.time_ms = now_ms;
        picture.automatic = picture.drive_side_open = picture.line_side_open = 0x0F;
        picture.output_open = picture.drive_stopped = picture.drive_known = true;
        for (PumpRecord& pump : state.pumps) pump.released_ms = now_ms - 24_h;
    }
    Permissive to_start(bool by_line = false) {
        return why_not_start(state, picture, permit, settings, 0, by_line, wait_ms);
    }
};

/// One reason for a refusal, as a change of a station that refuses nothing.
struct Refused {
    std::string name;
    std::function<void(Rested&)> spoil;
    Permissive why;
};

TEST(Refusal, of_a_start_gives_its_reason_for_each_single_reason) {
    const std::vector<Refused> causes{
        {"emergency stop", [](Rested& s) { s.picture.emergency_stop = true; }, Permissive::emergency_stop},
        {"emergency stop, unread since",
         [](Rested& s) { s.state.emergency_stop.state = StopState::operated; }, Permissive::emergency_stop},
        {"nobody has reset", [](Rested& s) { s.state.emergency_stop.state = StopState::awaits_reset; },
         Permissive::reset_awaited},
        {"low cut-off", [](Rested& s) { s.permit.low_cutoff = true; }, Permissive::low_cutoff},
        {"low float", [](Rested& s) { s.permit.low_float = true; }, Permissive::low_cutoff},
        {"supply", [](Rested& s) { s.permit.supply_poor = true; }, Permissive::supply},
        {"not settled", [](Rested& s) { s.permit.settled = false; }, Permissive::settling},
        {"data", [](Rested& s) { s.permit.data_starts = false; }, Permissive::data_bad},
        {"discharge pressure", [](Rested& s) { s.permit.pressure_high = true; }, Permissive::pressure_high},
        {"locked out", [](Rested& s) { s.state.pumps[0].state = PumpState::locked_out; },
         Permissive::locked_out},
        {"unavailable", [](Rested& s) { s.state.pumps[0].state = PumpState::unavailable; },
         Permissive::not_automatic},
        {"pause after a failure", [](Rested& s) { s.state.pumps[0].retry_after_ms = now_ms + 1; },
         Permissive::retry_pause},
        {"seal leak", [](Rested& s) { s.picture.seal_leak = 1; }, Permissive::seal_leak},
    };
    Rested sound;
    ASSERT_EQ(
        why_not_start(sound.state, sound.picture, sound.permit, sound.settings, 0, false, sound.wait_ms),
        Permissive::none);
    for (const Refused& cause : causes) {
        Rested station;
        cause.spoil(station);
        EXPECT_EQ(why_not_start(station.state, station.picture, station.permit, station.settings, 0, false,
                                station.wait_ms),
                  cause.why)
            << cause.name;
    }
}

TEST(Refusal, of_a_transfer_gives_its_reason_for_each_single_reason) {
    const std::vector<Refused> causes{
        {"drive tripped", [](Rested& s) { s.picture.drive_tripped = true; }, Permissive::drive},
        {"drive not ready", [](Rested& s) { s.picture.drive_not_ready = true; }, Permissive::drive},
        {"drive unknown", [](Rested& s) { s.picture.drive_known = false; }, Permissive::drive},
        {"drive locked out", [](Rested& s) { s.state.drive_locked_out = true; }, Permissive::drive},
        {"drive pausing", [](Rested& s) { s.state.drive_retry_after_ms = now_ms + 1; }, Permissive::drive},
        {"supply lost", [](Rested& s) { s.permit.supply_poor = true; }, Permissive::supply},
        {"line dips", [](Rested& s) { s.picture.line_poor = true; }, Permissive::supply},
        {"not settled", [](Rested& s) { s.permit.settled = false; }, Permissive::settling},
        {"pause after a failure", [](Rested& s) { s.state.transfer_retry_after_ms = now_ms + 1; },
         Permissive::retry_pause},
    };
    Rested sound;
    ASSERT_EQ(why_no_transfer(sound.state, sound.picture, sound.permit, sound.settings, sound.wait_ms),
              Permissive::none);
    for (const Refused& cause : causes) {
        Rested station;
        cause.spoil(station);
        EXPECT_EQ(why_no_transfer(station.state, station.picture, station.permit, station.settings,
                                  station.wait_ms),
                  cause.why)
            << cause.name;
    }
}

TEST(Refusal, of_a_line_start_is_for_the_settings_and_for_a_weak_supply) {
    const auto refused = [](const std::function<void(Rested&)>& spoil) {
        Rested station;
        station.settings.line_start.allowed = true;
        station.settings.line_start.short_circuit_va = 1e9;
        spoil(station);
        return why_not_start(station.state, station.picture, station.permit, station.settings, 0, true,
                             station.wait_ms);
    };
    EXPECT_EQ(refused([](Rested&) {}), Permissive::none);
    EXPECT_EQ(refused([](Rested& s) { s.settings.line_start.allowed = false; }), Permissive::supply);
    EXPECT_EQ(refused([](Rested& s) { s.settings.line_start.short_circuit_va = 1e6; }), Permissive::supply);
}

TEST(StartPermissive, waits_for_the_rest_and_gives_the_time_left) {
    Rested station;
    station.state.pumps[0].released_ms = now_ms - 20_s;
    EXPECT_EQ(station.to_start(), Permissive::resting);
    EXPECT_EQ(station.wait_ms, station.settings.permissives.rest_min_ms - 20_s);
}

TEST(StartPermissive, waits_for_the_residual_voltage_alone_after_an_involuntary_stop_when_the_water_calls) {
    Rested station;
    station.state.pumps[0].released_ms = now_ms - 20_s;
    station.state.pumps[0].involuntary = true;
    EXPECT_EQ(station.to_start(), Permissive::resting) << "the water does not call";
    station.permit.water_calls = true;
    EXPECT_EQ(station.to_start(), Permissive::none);
    station.state.pumps[0].released_ms = now_ms - 1'000;
    EXPECT_EQ(station.to_start(), Permissive::residual_voltage);
}

TEST(StartPermissive, waits_for_the_residual_voltage_even_without_a_minimum_rest) {
    Rested station;
    station.settings.permissives.rest_min_ms = 0;
    station.state.pumps[0].released_ms = now_ms - 1'000;
    EXPECT_EQ(station.to_start(), Permissive::residual_voltage);
}

TEST(StartPermissive, counts_starts_over_a_sliding_hour) {
    Rested station;
    const std::uint8_t limit = station.settings.permissives.starts_per_hour_max;
    for (std::uint8_t i = 0; i < limit; ++i)
        station.state.pumps[0].starts.note(now_ms - 1_h + 1000 * (i + 1));
    EXPECT_EQ(station.to_start(), Permissive::starts_limit);

    station.picture.time_ms = now_ms + 1000;
    EXPECT_EQ(station.to_start(), Permissive::none) << "the first start is now an hour ago";
}

TEST(StartPermissive, keeps_the_number_of_pumps_that_a_generator_carries) {
    Rested station;
    station.settings.permissives.pumps_max_on_generator = 1;
    station.picture.on_line = 1;
    EXPECT_EQ(station.to_start(), Permissive::none);
    station.picture.on_generator = true;
    EXPECT_EQ(station.to_start(), Permissive::pumps_limit);
}

TEST(HourlyLimit, of_zero_admits_nothing_and_a_limit_beyond_the_list_admits_as_many_as_the_list_holds) {
    HourlyCount count;
    EXPECT_FALSE(count.allows(0, now_ms));
    constexpr std::uint8_t beyond = hourly_max + 8;
    EXPECT_TRUE(count.allows(beyond, now_ms));
    for (std::size_t i = 0; i < hourly_max; ++i) count.note(now_ms);
    EXPECT_FALSE(count.allows(beyond, now_ms)) << "a start beyond the list is refused";
}

TEST(LineStartPermissive, keeps_the_spacing_between_line_starts) {
    Rested station;
    station.settings.line_start.allowed = true;
    station.settings.line_start.short_circuit_va = 100e6;
    station.settings.restart.spacing_ms = 0;
    station.state.last_line_start_ms = now_ms - 10_s;
    EXPECT_EQ(station.to_start(true), Permissive::spacing);
    EXPECT_EQ(station.wait_ms, station.settings.line_start.spacing_ms - 10_s);
}

TEST(LineStartPermissive, waits_for_a_drive_that_is_expected_back_and_a_start_on_the_drive_does_not) {
    Rested station;
    station.settings.line_start.allowed = true;
    station.settings.line_start.short_circuit_va = 100e6;
    station.permit.drive_wait_left_ms = 12_s;
    EXPECT_EQ(station.to_start(true), Permissive::drive_awaited);
    EXPECT_EQ(station.wait_ms, 12_s);
    EXPECT_EQ(station.to_start(false), Permissive::none);
}

TEST(LineStartDip, is_start_power_over_start_and_short_circuit_power) {
    // S / (Ssc + S): a start of a twentieth of the short-circuit power dips 4.8 %. Voltage-divider of motor
    // and source in series, as in the voltage-drop chapters of the motor handbooks.
    Settings settings = doubles::four_pumps();
    settings.drive.line_voltage_v = 1000;
    settings.rated_current_a = 100;
    settings.line_start.locked_rotor_current_ratio = 5 / 1.7320508075688772;
    settings.line_start.short_circuit_va = 20 * 500e3;
    EXPECT_NEAR(line_start_dip_ratio(settings), 0.0476, 0.0001);
}

TEST(LineStartDip, on_a_supply_of_unknown_strength_is_total) {
    Settings settings = doubles::four_pumps();
    settings.line_start.short_circuit_va = 0;
    EXPECT_EQ(line_start_dip_ratio(settings), 1);
}

TEST(TransferPermissive, keeps_the_limit_of_transfers_per_hour) {
    Rested station;
    for (int i = 0; i < station.settings.permissives.transfers_per_hour_max; ++i)
        station.state.transfers.note(now_ms - 1_min);
    EXPECT_EQ(
        why_no_transfer(station.state, station.picture, station.permit, station.settings, station.wait_ms),
        Permissive::transfers_limit);
}

TEST(TransferPermissive, pauses_after_a_failed_transfer) {
    Rested station;
    station.state.transfer_retry_after_ms = now_ms + 5'000;
    EXPECT_EQ(
        why_no_transfer(station.state, station.picture, station.permit, station.settings, station.wait_ms),
        Permissive::retry_pause);
    EXPECT_EQ(station.wait_ms, 5'000);
}

TEST(StopPermissive, keeps_a_pump_for_its_minimum_run) {
    Rested station;
    station.state.pumps[0].started_ms = now_ms - 10_s;
    EXPECT_EQ(why_not_stop(station.state, station.permit, station.settings, 0, now_ms, station.wait_ms),
              Permissive::minimum_run);
    EXPECT_EQ(station.wait_ms, station.settings.permissives.run_min_ms - 10_s);
}

// Water before wear: what spares the machines gives way while the water is in danger
// ------------------------------------------------------------

TEST(Precedence, lets_every_limit_of_wear_give_way_while_the_water_is_in_danger) {
    const std::vector<Refused> wear{
        {"rest", [](Rested& s) { s.state.pumps[0].released_ms = now_ms - 20_s; }, Permissive::resting},
        {"starts",
         [](Rested& s) {
             for (int i = 0; i < s.settings.permissives.starts_per_hour_max; ++i)
                 s.state.pumps[0].starts.note(now_ms - 10_min);
         },
         Permissive::starts_limit},
        {"seal leak", [](Rested& s) { s.picture.seal_leak = 1; }, Permissive::seal_leak},
    };
    for (const Refused& limit : wear) {
        Rested station;
        limit.spoil(station);
        EXPECT_EQ(station.to_start(), limit.why) << limit.name;
        station.permit.water_in_danger = true;
        EXPECT_EQ(station.to_start(), Permissive::none) << limit.name;
    }
}

TEST(Precedence, keeps_what_prevents_harm_while_the_water_is_in_danger) {
    const std::vector<Refused> harm{
        {"emergency stop", [](Rested& s) { s.picture.emergency_stop = true; }, Permissive::emergency_stop},
        {"low float", [](Rested& s) { s.permit.low_float = true; }, Permissive::low_cutoff},
        {"residual voltage", [](Rested& s) { s.state.pumps[0].released_ms = now_ms - 1'000; },
         Permissive::residual_voltage},
        {"starts in succession",
         [](Rested& s) {
             s.settings.succession = {.cold_starts_max = 2,
                                      .warm_starts_max = 1,
                                      .cool_ms = 2_h,
                                      .rest_ms = 15_min,
                                      .even_run_ms = 1_h};
             s.state.pumps[0].started_ms = now_ms - 5_min;
             s.state.pumps[0].released_ms = now_ms - 4_min;
             s.state.pumps[0].succession = {2, false};
         },
         Permissive::succession},
        {"locked out", [](Rested& s) { s.state.pumps[0].state = PumpState::locked_out; },
         Permissive::locked_out},
        {"data", [](Rested& s) { s.permit.data_starts = false; }, Permissive::data_bad},
        {"pause after a failure", [](Rested& s) { s.state.pumps[0].retry_after_ms = now_ms + 1; },
         Permissive::retry_pause},
    };
    for (const Refused& cause : harm) {
        Rested station;
        cause.spoil(station);
        station.permit.water_in_danger = true;
        EXPECT_EQ(station.to_start(), cause.why) << cause.name;
    }
}

TEST(Precedence, lets_the_transfers_of_an_hour_and_the_minimum_run_give_way_too) {
    Rested station;
    for (int i = 0; i < station.settings.permissives.transfers_per_hour_max; ++i)
        station.state.transfers.note(now_ms - 1_min);
    station.state.pumps[0].started_ms = now_ms - 10_s;
    station.permit.water_in_danger = true;
    EXPECT_EQ(
        why_no_transfer(station.state, station.picture, station.permit, station.settings, station.wait_ms),
        Permissive::none);
    EXPECT_EQ(why_not_stop(station.state, station.permit, station.settings, 0, now_ms, station.wait_ms),
              Permissive::none);
}

TEST(Refusal, of_every_idle_pump_names_the_pump_that_may_start_first_and_its_time_left) {
    Rested station;
    for (PumpRecord& pump : station.state.pumps) pump.released_ms = now_ms - 10_s;
    station.state.pumps[2].released_ms = now_ms - 40_s;
    const Refusal refusal =
        why_no_pump_starts(station.state, station.picture, station.permit, station.settings, false);
    EXPECT_EQ(refusal.why, Permissive::resting);
    EXPECT_EQ(refusal.pump, 2);
    EXPECT_EQ(refusal.wait_ms, station.settings.permissives.rest_min_ms - 40_s);
    station.state.pumps[1].released_ms = now_ms - 24_h;
    EXPECT_EQ(why_no_pump_starts(station.state, station.picture, station.permit, station.settings, false).why,
              Permissive::none)
        << "pump 2 may start";
}

TEST(Availability, names_the_reason_why_a_pump_is_unavailable) {
    Rested station;
    EXPECT_EQ(why_unavailable(station.picture, 0), Permissive::none);

    Picture off = station.picture;
    off.automatic = 0;
    EXPECT_EQ(why_unavailable(off, 0), Permissive::not_automatic);

    Picture tripped = station.picture;
    tripped.tripped = 1;
    EXPECT_EQ(why_unavailable(tripped, 0), Permissive::tripped);

    Picture unknown = station.picture;
    unknown.trip_unknown = 1;
    EXPECT_EQ(why_unavailable(unknown, 0), Permissive::tripped) << "an unread trip contact may mean a trip";

    Picture leaking = station.picture;
    leaking.seal_leak = 1;
    EXPECT_EQ(why_unavailable(leaking, 0), Permissive::none) << "a seal leak is a warning";

    Picture hot = station.picture;
    hot.hot = 1;
    EXPECT_EQ(why_unavailable(hot, 0), Permissive::winding_hot);

    Picture stuck = station.picture;
    stuck.line_side_open = 0x0E;
    EXPECT_EQ(why_unavailable(stuck, 0), Permissive::contact_contradiction);
}

}  // namespace
}  // namespace freshet::core
