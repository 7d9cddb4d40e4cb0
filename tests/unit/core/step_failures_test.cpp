// Each step of each sequence with each kind of failure. The table says which step is advised next, which
// alarm is raised, how the sequence ends and which attempt is counted. One reason to change: a kind of
// failure.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <string>

#include "tests/unit/core/step_stand.hpp"

namespace freshet::core {
namespace {

/// The state of the pump at the end of the steps behind `way` when nothing fails.
PumpState end_without_failure(Way way) {
    while (way.step != Step::idle) way = row_of(way.step).then;
    return way.end;
}

enum class Blame { nobody, the_pump, the_drive };

void expect_counted(const StepStand& stand, const StepRow& row, Blame blame) {
    const RetryRow& retry = retry_of(row.sequence);
    const bool failed = blame != Blame::nobody;
    const bool drive = blame == Blame::the_drive && retry.counts_drive;
    const bool by_pump = failed && !drive && retry.counts_pump;
    const bool transfer = failed && retry.counts_transfer;
    EXPECT_EQ(stand.state.drive_attempts, drive ? 1 : 0);
    EXPECT_EQ(stand.state.pumps[stand_pump].attempts, by_pump ? 1 : 0);
    EXPECT_EQ(stand.state.transfer_attempts, transfer ? 1 : 0);
    // The next attempt waits for the pause.
    const std::int64_t pause_ms = stand.settings.step.retry_pause_ms;
    EXPECT_EQ(stand.state.drive_retry_after_ms, drive ? stand.now_ms + pause_ms : never_ms);
    EXPECT_EQ(stand.state.pumps[stand_pump].retry_after_ms, by_pump ? stand.now_ms + pause_ms : never_ms);
    EXPECT_EQ(stand.state.transfer_retry_after_ms, transfer ? stand.now_ms + pause_ms : never_ms);
}

/// The sequencer went `way`, or stayed in the step where `way` leads back to it. From here on the station is
/// healthy.
void expect_reaction(StepStand& stand, const StepRow& row, Way way, Blame blame) {
    const bool reacts = way.step != row.step;
    if (reacts) {
        EXPECT_EQ(stand.step(), way.step);
        if (way.step != Step::idle) {
            const StepAdvice& next = row_of(way.step).advice;
            EXPECT_EQ(stand.advice.pumps[stand_pump].drive_side_close, next.drive_side_close);
            EXPECT_EQ(stand.advice.pumps[stand_pump].line_side_close, next.line_side_close);
            if (!stand.on_line_side()) {
                EXPECT_EQ(stand.advice.drive_run, next.drive_run);
                EXPECT_EQ(stand.advice.output_close, next.output_close);
                EXPECT_EQ(stand.advice.synchronise, next.synchronise);
            }
        }
    } else {
        EXPECT_EQ(stand.step(), row.step) << "the step is not left for this reason";
    }
    EXPECT_TRUE(stand.recover());
    EXPECT_EQ(stand.state.pumps[stand_pump].state, end_without_failure(reacts ? way : row.then));
    expect_counted(stand, row, reacts ? blame : Blame::nobody);
}

/// The longest time of a step, from the settings.
std::int64_t allowed_ms(const Settings& settings, Limit limit) {
    const Settings::StepLimits& step = settings.step;
    const auto ramp_ms = [](double hz, double hz_s) { return std::llround(1000 * hz / hz_s); };
    const std::int64_t stop = ramp_ms(settings.drive.speed_max_hz, settings.drive.ramp_down_hz_s);
    const std::int64_t to_line = ramp_ms(stand_line_hz, settings.drive.ramp_up_hz_s);
    const std::int64_t to_minimum = ramp_ms(stand_minimum_hz, settings.drive.ramp_up_hz_s);
    const std::map<Limit, std::int64_t> allowed{
        {Limit::close, step.close_ms},
        {Limit::open, step.open_ms},
        {Limit::joining, std::min(step.close_ms, step.overlap_ms)},
        {Limit::overlap, step.overlap_ms},
        {Limit::drive_start, step.drive_start_ms + to_minimum + step.ramp_margin_ms},
        {Limit::line_ramp, step.drive_start_ms + to_line + step.ramp_margin_ms},
        {Limit::synchronise, step.synchronise_ms},
        {Limit::stop_ramp, stop + step.ramp_margin_ms},
        {Limit::drive_stop, step.drive_start_ms + stop},
        {Limit::line_run, step.close_ms + settings.permissives.current_loss_ms},
    };
    return allowed.at(limit);
}
/// The time of the first scan at which a duration is over, from the entry into the step.
std::int64_t first_scan_at(std::int64_t duration_ms) {
    return (duration_ms + stand_scan_ms - 1) / stand_scan_ms * stand_scan_ms;
}

class EveryStep : public testing::TestWithParam<std::size_t> {
  protected:
    const StepRow& row() const { return tables::rows[GetParam()]; }
    /// A scan in the step without its confirmation and with `failure`.
    template <class Failure>
    void with(Failure failure, Way way, Blame blame) {
        StepStand stand(row());
        stand.pass();
        stand.settle();
        stand.in_sync = true;
        if (row().wait_for != Condition::in_sync) stand.deny(row().wait_for);
        failure(stand);
        stand.scan();
        expect_reaction(stand, row(), way, blame);
    }
};

TEST_P(EveryStep, without_confirmation_is_left_at_its_time_limit_with_its_alarm) {
    StepStand stand(row());
    constexpr std::int64_t most_ms = 2_min;
    while (stand.step() == row().step && stand.now_ms - start_ms < most_ms) {
        EXPECT_TRUE(stand.nothing_raised());
        stand.scan_without_confirmation();
    }
    const bool in_sync_awaited = row().wait_for == Condition::in_sync;
    const bool station = row().time_out_alarm.of == AlarmRef::Of::station && !in_sync_awaited;
    if (in_sync_awaited) {
        EXPECT_TRUE(stand.nothing_raised()) << "a late synchronism is alarmed after the last attempt only";
    } else if (row().time_out_alarm.of != AlarmRef::Of::none) {
        EXPECT_TRUE(stand.raised(row().time_out_alarm));
    }
    const std::int64_t limit_ms = stand.now_ms - start_ms;
    EXPECT_EQ(limit_ms, first_scan_at(allowed_ms(stand.settings, row().limit)));
    const Way way = row().on_time_out;
    if (way.step == Step::idle) {
        EXPECT_EQ(stand.state.pumps[stand_pump].state, way.end);
        expect_counted(stand, row(), station ? Blame::the_drive : Blame::the_pump);
    } else {
        expect_reaction(stand, row(), way, station ? Blame::the_drive : Blame::the_pump);
    }

    // A confirmation that is late but within the limit is no failure.
    StepStand late(row());
    const std::int64_t held_ms = in_sync_awaited ? late.settings.sync.hold_ms + stand_scan_ms : 0;
    while (late.now_ms - start_ms < limit_ms - stand_scan_ms - held_ms) late.scan_without_confirmation();
    EXPECT_EQ(late.step(), row().step);
    EXPECT_TRUE(late.recover());
    EXPECT_TRUE(late.nothing_raised());
    EXPECT_EQ(late.state.pumps[stand_pump].state, end_without_failure(row().then));
    expect_counted(late, row(), Blame::nobody);
}

TEST_P(EveryStep, whose_signals_are_not_read_is_left_at_its_time_limit_without_an_alarm_or_a_lock_out) {
    StepStand stand(row());
    constexpr std::int64_t most_ms = 2_min;
    while (stand.step() == row().step && stand.now_ms - start_ms < most_ms) stand.scan_unread();
    const Way way = row().needs_sync ? row().on_sync_lost : row().on_time_out;
    EXPECT_EQ(stand.step(), way.step);
    while (stand.step() != Step::idle && stand.now_ms - start_ms < 2 * most_ms) stand.scan_unread();
    EXPECT_EQ(stand.step(), Step::idle);
    EXPECT_TRUE(stand.nothing_raised());
    EXPECT_NE(stand.state.pumps[stand_pump].state, PumpState::locked_out);
    if (way == end(PumpState::locked_out)) {
        EXPECT_EQ(stand.state.pumps[stand_pump].state, PumpState::off);
    }
    if (row().state == PumpState::stopping) expect_counted(stand, row(), Blame::nobody);
}

TEST_P(EveryStep, whose_synchronism_is_late_in_the_last_attempt_is_alarmed) {
    if (row().wait_for != Condition::in_sync) {
        EXPECT_NE(row().time_out_alarm.code, static_cast<std::uint8_t>(StationAlarm::not_in_sync));
        return;
    }
    StepStand stand(row());
    stand.state.transfer_attempts = static_cast<std::uint8_t>(stand.settings.step.attempts_max - 1);
    while (stand.step() == row().step) stand.scan_without_confirmation();
    EXPECT_TRUE(stand.raised(row().time_out_alarm));
    EXPECT_TRUE(stand.recover());
    EXPECT_TRUE(stand.raised(retry_of(row().sequence).alarm));
    EXPECT_FALSE(stand.state.drive_locked_out) << "another transfer is tried after each pause";
}

TEST_P(EveryStep, whose_contactor_opens_unadvised_is_left_by_the_way_of_a_lost_pump_or_drive) {
    const StepRow& r = row();
    const bool drive_side = r.advice.drive_side_close && r.wait_for != Condition::drive_side_closed;
    const bool line_side = r.advice.line_side_close && r.wait_for != Condition::line_side_closed &&
                           r.wait_for != Condition::running_on_line;
    if (drive_side)
        with(
            [](StepStand& s) {
                s.picture.drive_side_closed = 0;
                s.picture.drive_side_open = 0x0F;
            },
            r.on_pump_lost, Blame::the_pump);
    if (line_side)
        with(
            [](StepStand& s) {
                s.picture.line_side_closed = 0;
                s.picture.line_side_open = 0x0F;
            },
            r.on_pump_lost, Blame::the_pump);
    if (r.advice.output_close && r.wait_for != Condition::output_closed)
        with(
            [](StepStand& s) {
                s.picture.output_closed = false;
                s.picture.output_open = true;
            },
            r.on_drive_lost, Blame::the_drive);
    EXPECT_TRUE(drive_side || line_side || !r.advice.drive_run || r.advice.output_close);
}

TEST_P(EveryStep, whose_bus_is_joined_to_the_line_is_left_by_the_way_of_the_table) {
    if (row().on_bus_joined_to_line.step == row().step) {
        const bool apart = row().advice.drive_run && !row().advice.synchronise;
        EXPECT_FALSE(apart) << "a drive that is not in sync would stay on a bus that the line feeds";
        return;
    }
    with(
        [](StepStand& s) {
            s.picture.drive_side_closed = s.picture.line_side_closed = bit_of(stand_pump);
            s.picture.drive_side_open = s.picture.line_side_open = static_cast<PumpMask>(~bit_of(stand_pump));
        },
        row().on_bus_joined_to_line, Blame::the_pump);
}

TEST_P(EveryStep, whose_drive_is_lost_is_left_by_the_way_of_the_table) {
    const Way way = is_line_run(row().sequence) ? Way{row().step, {}} : row().on_drive_lost;
    with([](StepStand& s) { s.picture.drive_tripped = true; }, way, Blame::the_drive);
    with([](StepStand& s) { s.picture.drive_not_ready = true; }, way, Blame::the_drive);
    if (row().drive_must_run && row().wait_for != Condition::slow)
        with(
            [](StepStand& s) {
                s.picture.drive_running = false;
                s.picture.drive_stopped = true;
            },
            way, Blame::the_drive);
}

TEST_P(EveryStep, is_left_when_synchronism_is_lost_or_the_line_dips_only_if_it_needs_synchronism) {
    const Way way = row().needs_sync ? row().on_sync_lost : Way{row().step, {}};
    if (row().wait_for != Condition::in_sync)
        with([](StepStand& s) { s.picture.drive_claims_sync = s.in_sync = false; }, way, Blame::the_pump);
    with([](StepStand& s) { s.picture.line_poor = true; }, way, Blame::the_pump);
}

TEST_P(EveryStep, whose_pump_trips_or_is_taken_out_of_automatic_is_left_without_a_failure) {
    with([](StepStand& s) { s.picture.tripped = bit_of(stand_pump); }, row().on_pump_lost, Blame::nobody);
    with(
        [](StepStand& s) {
            s.picture.automatic = 0x0E;
            s.picture.not_automatic = bit_of(stand_pump);
        },
        row().on_pump_lost, Blame::nobody);
    with(
        [](StepStand& s) {
            s.picture.automatic = 0x0E;
            s.picture.not_automatic = s.picture.hand = bit_of(stand_pump);
        },
        row().on_pump_lost, Blame::nobody);
}

TEST_P(EveryStep, is_left_by_the_way_of_a_lost_pump_for_lost_supply_emergency_stop_and_low_cut_off) {
    for (const auto& [code, why] : {std::pair{Permissive::supply, Reason::supply_lost},
                                    std::pair{Permissive::emergency_stop, Reason::emergency_stop},
                                    std::pair{Permissive::low_cutoff, Reason::low_cutoff}}) {
        StepStand stand(row());
        stand.pass();
        stand.settle();
        if (row().wait_for != Condition::in_sync) stand.deny(row().wait_for);
        stand.stop_all_pumps(code, why);
        expect_reaction(stand, row(), row().on_pump_lost, Blame::nobody);
    }
}

INSTANTIATE_TEST_SUITE_P(OfTheTable, EveryStep, testing::Range(std::size_t{0}, tables::rows.size()),
                         [](const testing::TestParamInfo<std::size_t>& place) {
                             return "step_" + std::to_string(place.param + 1);
                         });

TEST(TransferAttempts, are_counted_up_to_255_and_do_not_start_again_at_zero) {
    StepStand stand(row_of(Step::over_synchronise));
    for (int failure = 0; failure < 300; ++failure) {
        core::Run& run = stand.state.main;
        run = core::Run{};
        run.sequence = Sequence::hand_over;
        run.step = Step::over_synchronise;
        run.pump = stand_pump;
        run.entered_ms = stand.now_ms - stand.settings.step.synchronise_ms;
        stand.state.drive_pump = no_pump;
        stand.state.pumps[stand_pump].state = PumpState::to_line;
        stand.scan_without_confirmation();
        const bool often = failure + 1 >= stand.settings.step.attempts_max;
        ASSERT_EQ(stand.raised(alarm(PumpAlarm::hand_over_failed)), often) << failure;
    }
    EXPECT_EQ(stand.state.transfer_attempts, 255);
}

TEST(StartCount, does_not_count_a_start_that_is_called_off_before_the_drive_runs) {
    StepStand stand(row_of(Step::start_close_output));
    stand.pass();
    stand.settle();
    stand.stop_all_pumps(Permissive::emergency_stop, Reason::emergency_stop);
    EXPECT_FALSE(stand.advice.drive_run);
    EXPECT_TRUE(stand.recover());
    EXPECT_EQ(stand.state.pumps[stand_pump].starts_total, 0U);
    EXPECT_EQ(stand.state.last_start_ms, never_ms);
}

TEST(StartCount, counts_a_start_that_was_advised_for_one_scan) {
    StepStand stand(row_of(Step::start_close_output));
    stand.pass();
    stand.settle();
    stand.scan();
    ASSERT_EQ(stand.step(), Step::start_run);
    const std::int64_t began_ms = stand.now_ms;
    stand.pass();
    stand.settle();
    stand.picture.tripped = bit_of(stand_pump);
    stand.scan();
    EXPECT_EQ(stand.state.pumps[stand_pump].starts_total, 1U);
    EXPECT_EQ(stand.state.pumps[stand_pump].started_ms, began_ms);
    EXPECT_EQ(stand.state.pumps[stand_pump].starts.within_hour(stand.now_ms), 1);
}

TEST(StartCount, of_starts_in_succession_has_the_starts_on_the_drive_only_where_the_station_counts_them) {
    for (const bool counts : {true, false}) {
        StepStand stand(row_of(Step::start_run));
        stand.settings.succession.drive_starts_count = counts;
        stand.scan_without_confirmation();
        EXPECT_EQ(stand.state.pumps[stand_pump].starts_total, 1U);
        EXPECT_EQ(stand.state.pumps[stand_pump].succession.starts, counts ? 1 : 0);
    }
}

}  // namespace
}  // namespace freshet::core
