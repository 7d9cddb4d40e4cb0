// Each step of each sequence with each kind of failure: what is advised next, what is alarmed, how it
// recovers and what it counts towards, all as the table says. One reason to change: a kind of failure.
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <string>

#include "controller/core/alarms.hpp"
#include "controller/core/judgement.hpp"
#include "controller/core/sequencer.hpp"
#include "tests/doubles/composed.hpp"
#include "tests/doubles/station_double.hpp"
#include "tests/unit/core/durations.hpp"

namespace freshet::core {
namespace {

constexpr std::int64_t scan_ms = 100;
constexpr std::int64_t start_ms = doubles::odd_start_ms;
constexpr std::int64_t long_ago_ms = start_ms - 24_h;
constexpr double minimum_hz = 40, line_hz = 60;
constexpr std::uint8_t pump = 0;

/// A sequencer with one run standing in a step, and a station that follows the advice from scan to scan.
struct Stand {
    Settings settings = doubles::four_pumps();
    SequencerState state;
    Picture picture;
    Advice advice;
    std::uint32_t number = 0;
    std::int64_t now_ms = start_ms;
    bool in_sync = true;

    explicit Stand(const StepRow& row) : row_(row) {
        for (PumpRecord& one : state.pumps) one.released_ms = long_ago_ms;
        Run& run = run_of();
        run.sequence = row.sequence;
        run.step = row.step;
        run.pump = pump;
        run.entered_ms = now_ms;
        state.pumps[pump].state = row.state;
        settle();
        doubles::compose(state, {picture, sync(), minimum_hz}, minimum_hz, settings, advice);
    }
    bool beside() const { return row_.sequence == Sequence::stop_from_line; }
    Run& run_of() { return beside() ? state.line_stop[pump] : state.main; }
    Step step() { return run_of().step; }

    SyncReading sync() const {
        SyncReading reading;
        reading.usable = true;
        reading.within = in_sync && !picture.line_poor;
        return reading;
    }
    /// The station has done what it was advised.
    void settle() {
        picture = {};
        picture.time_ms = now_ms;
        picture.line_hz = line_hz;
        picture.automatic = 0x0F;
        picture.drive_known = picture.contacts_known = true;
        for (std::size_t p = 0; p < settings.pump_count; ++p) {
            const PumpMask bit = bit_of(p);
            const auto set = [bit](PumpMask& mask) { mask = static_cast<PumpMask>(mask | bit); };
            set(advice.pumps[p].drive_side_close ? picture.drive_side_closed : picture.drive_side_open);
            set(advice.pumps[p].line_side_close ? picture.line_side_closed : picture.line_side_open);
            const bool fed = advice.pumps[p].line_side_close ||
                             (advice.pumps[p].drive_side_close && advice.output_close && advice.drive_run);
            set(fed ? picture.current_seen : picture.current_missing);
        }
        picture.output_closed = advice.output_close;
        picture.output_open = !advice.output_close;
        picture.drive_running = advice.drive_run;
        picture.drive_standing = !advice.drive_run;
        picture.drive_hz_known = true;
        picture.drive_hz = advice.drive_run ? advice.speed_hz : 0;
        picture.drive_claims_sync = advice.synchronise && in_sync;
    }
    /// What the step waits for is not there yet.
    void deny(Condition condition) {
        const auto open = [](PumpMask& closed_mask, PumpMask& open_mask) {
            closed_mask = static_cast<PumpMask>(closed_mask & ~bit_of(pump));
            open_mask = static_cast<PumpMask>(open_mask | bit_of(pump));
        };
        switch (condition) {
            case Condition::drive_side_closed:
                return open(picture.drive_side_closed, picture.drive_side_open);
            case Condition::line_side_closed:
                return open(picture.line_side_closed, picture.line_side_open);
            case Condition::drive_side_open:
            case Condition::sides_open:
                return open(picture.drive_side_open, picture.drive_side_closed);
            case Condition::line_side_open:
                return open(picture.line_side_open, picture.line_side_closed);
            case Condition::output_closed:
                picture.output_closed = false;
                picture.output_open = true;
                return;
            case Condition::output_open:
            case Condition::drive_side_and_output_open:
                picture.output_closed = true;
                picture.output_open = false;
                return;
            case Condition::at_minimum_flow:
            case Condition::at_line_frequency:
                picture.drive_hz = minimum_hz / 2;
                return;
            case Condition::in_sync:
                picture.drive_claims_sync = in_sync = false;
                return;
            case Condition::slow:
                picture.drive_hz = minimum_hz;
                return;
            case Condition::drive_stopped:
                picture.drive_running = true;
                picture.drive_standing = false;
                return;
            case Condition::running_on_line:
                return open(picture.current_seen, picture.current_missing);
        }
        FAIL() << "a condition without its denial";
    }
    void judge_scan() {
        Journal journal(advice, number);
        carry_on(state, {picture, sync(), minimum_hz}, settings, journal);
        doubles::compose(state, {picture, sync(), minimum_hz}, minimum_hz, settings, advice);
    }
    void stop_all_pumps(Permissive code, Reason why) {
        Journal journal(advice, number);
        carry_on(state, {picture, sync(), minimum_hz}, settings, journal);
        stop_all(state, code, why, {}, now_ms, journal);
        doubles::compose(state, {picture, sync(), minimum_hz}, minimum_hz, settings, advice);
    }
    void pass() { now_ms += scan_ms; }
    /// One scan in which the awaited confirmation has not come.
    void wait_in_vain() {
        pass();
        settle();
        in_sync = true;
        deny(row_.wait_for);
        judge_scan();
    }
    /// One scan in which nothing of the station is read.
    void see_nothing() {
        pass();
        picture = {};
        picture.time_ms = now_ms;
        picture.line_hz = line_hz;
        in_sync = false;
        judge_scan();
    }
    /// Scans of a healthy station until the run is over.
    bool recover() {
        constexpr std::int64_t most_ms = 2_min;
        in_sync = true;
        for (const std::int64_t end = now_ms + most_ms; now_ms < end && step() != Step::idle;) {
            pass();
            settle();
            judge_scan();
        }
        return step() == Step::idle;
    }
    bool raised(AlarmRef alarm) const {
        if (alarm.of == AlarmRef::Of::station) return (state.latched_station >> alarm.code & 1U) != 0;
        return alarm.of == AlarmRef::Of::pump && (state.latched_pump[pump] >> alarm.code & 1U) != 0;
    }
    bool nothing_raised() const { return state.latched_station == 0 && state.latched_pump[pump] == 0; }

  private:
    const StepRow& row_;
};

/// Where the straight way from `way` comes to its end.
PumpState straight_end(Way way) {
    while (way.step != Step::idle) way = row_of(way.step).then;
    return way.end;
}

enum class Blame { nobody, the_pump, the_drive };

void expect_counted(const Stand& stand, const StepRow& row, Blame blame) {
    const RetryRow& retry = retry_of(row.sequence);
    const bool failed = blame != Blame::nobody;
    const bool drive = blame == Blame::the_drive && retry.counts_drive;
    const bool by_pump = failed && !drive && retry.counts_pump;
    const bool transfer = failed && retry.counts_transfer;
    EXPECT_EQ(stand.state.drive_attempts, drive ? 1 : 0);
    EXPECT_EQ(stand.state.pumps[pump].attempts, by_pump ? 1 : 0);
    EXPECT_EQ(stand.state.transfer_attempts, transfer ? 1 : 0);
    // Another attempt waits for the pause.
    const std::int64_t pause_ms = stand.settings.step.retry_pause_ms;
    EXPECT_EQ(stand.state.drive_retry_after_ms, drive ? stand.now_ms + pause_ms : never_ms);
    EXPECT_EQ(stand.state.pumps[pump].retry_after_ms, by_pump ? stand.now_ms + pause_ms : never_ms);
    EXPECT_EQ(stand.state.transfer_retry_after_ms, transfer ? stand.now_ms + pause_ms : never_ms);
}

/// The step has been left by `way`, or not at all where that leads back into it; then everything is healthy.
void expect_reaction(Stand& stand, const StepRow& row, Way way, Blame blame) {
    const bool reacts = way.step != row.step;
    if (reacts) {
        EXPECT_EQ(stand.step(), way.step);
        if (way.step != Step::idle) {
            const StepAdvice& next = row_of(way.step).advice;
            EXPECT_EQ(stand.advice.pumps[pump].drive_side_close, next.drive_side_close);
            EXPECT_EQ(stand.advice.pumps[pump].line_side_close, next.line_side_close);
            if (!stand.beside()) {
                EXPECT_EQ(stand.advice.drive_run, next.drive_run);
                EXPECT_EQ(stand.advice.output_close, next.output_close);
                EXPECT_EQ(stand.advice.synchronise, next.synchronise);
            }
        }
    } else {
        EXPECT_EQ(stand.step(), row.step) << "the step has no way out for this ground";
    }
    EXPECT_TRUE(stand.recover());
    EXPECT_EQ(stand.state.pumps[pump].state, straight_end(reacts ? way : row.then));
    expect_counted(stand, row, reacts ? blame : Blame::nobody);
}

/// How long a step may last, as the settings say.
std::int64_t allowed_ms(const Settings& settings, Limit limit) {
    const Settings::StepLimits& step = settings.step;
    const auto ramp_ms = [](double hz, double hz_s) { return std::llround(1000 * hz / hz_s); };
    const std::int64_t stop = ramp_ms(settings.drive.speed_max_hz, settings.drive.ramp_down_hz_s);
    const std::int64_t to_line = ramp_ms(line_hz, settings.drive.ramp_up_hz_s);
    const std::int64_t to_minimum = ramp_ms(minimum_hz, settings.drive.ramp_up_hz_s);
    const std::map<Limit, std::int64_t> allowed{
        {Limit::close, step.close_ms},
        {Limit::open, step.open_ms},
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
/// The scan at which a time is over, counted from the entry.
std::int64_t first_scan_at(std::int64_t duration_ms) {
    return (duration_ms + scan_ms - 1) / scan_ms * scan_ms;
}

bool rides_alone(const StepRow& row) {
    return row.sequence == Sequence::stop_from_line || row.sequence == Sequence::line_start;
}

class EveryStep : public testing::TestWithParam<std::size_t> {
  protected:
    const StepRow& row() const { return tables::rows[GetParam()]; }
    /// A scan in the step, what it waits for not there yet, with `failure` besides.
    template <class Failure>
    void with(Failure failure, Way way, Blame blame) {
        Stand stand(row());
        stand.pass();
        stand.settle();
        stand.in_sync = true;
        if (row().wait_for != Condition::in_sync) stand.deny(row().wait_for);
        failure(stand);
        stand.judge_scan();
        expect_reaction(stand, row(), way, blame);
    }
};

TEST_P(EveryStep, that_gets_no_confirmation_goes_its_way_out_at_the_limit_with_its_alarm) {
    Stand stand(row());
    constexpr std::int64_t most_ms = 2_min;
    while (stand.step() == row().step && stand.now_ms - start_ms < most_ms) {
        EXPECT_TRUE(stand.nothing_raised());
        stand.wait_in_vain();
    }
    const bool in_sync_awaited = row().wait_for == Condition::in_sync;
    const bool station = row().time_out_alarm.of == AlarmRef::Of::station && !in_sync_awaited;
    if (in_sync_awaited) {
        EXPECT_TRUE(stand.nothing_raised())
            << "sync that is late once is alarmed after the last attempt only";
    } else if (row().time_out_alarm.of != AlarmRef::Of::none) {
        EXPECT_TRUE(stand.raised(row().time_out_alarm));
    }
    const std::int64_t limit_ms = stand.now_ms - start_ms;
    EXPECT_EQ(limit_ms, first_scan_at(allowed_ms(stand.settings, row().limit)));
    const Way way = row().on_time_out;
    if (way.step == Step::idle) {
        EXPECT_EQ(stand.state.pumps[pump].state, way.end);
        expect_counted(stand, row(), station ? Blame::the_drive : Blame::the_pump);
    } else {
        expect_reaction(stand, row(), way, station ? Blame::the_drive : Blame::the_pump);
    }

    // Late, but within the limit, is no failure.
    Stand late(row());
    const std::int64_t held_ms = in_sync_awaited ? late.settings.sync.hold_ms + scan_ms : 0;
    while (late.now_ms - start_ms < limit_ms - scan_ms - held_ms) late.wait_in_vain();
    EXPECT_EQ(late.step(), row().step);
    EXPECT_TRUE(late.recover());
    EXPECT_TRUE(late.nothing_raised());
    EXPECT_EQ(late.state.pumps[pump].state, straight_end(row().then));
    expect_counted(late, row(), Blame::nobody);
}

TEST_P(EveryStep, that_sees_nothing_until_its_limit_goes_its_way_out_without_an_alarm_or_a_lock_out) {
    Stand stand(row());
    constexpr std::int64_t most_ms = 2_min;
    while (stand.step() == row().step && stand.now_ms - start_ms < most_ms) stand.see_nothing();
    const Way way = row().needs_sync ? row().on_sync_lost : row().on_time_out;
    EXPECT_EQ(stand.step(), way.step);
    while (stand.step() != Step::idle && stand.now_ms - start_ms < 2 * most_ms) stand.see_nothing();
    EXPECT_EQ(stand.step(), Step::idle);
    EXPECT_TRUE(stand.nothing_raised());
    EXPECT_NE(stand.state.pumps[pump].state, PumpState::locked_out);
    if (way == end(PumpState::locked_out)) {
        EXPECT_EQ(stand.state.pumps[pump].state, PumpState::off);
    }
    if (row().state == PumpState::stopping) expect_counted(stand, row(), Blame::nobody);
}

TEST_P(EveryStep, whose_sync_is_late_for_the_last_time_is_alarmed) {
    if (row().wait_for != Condition::in_sync) {
        EXPECT_NE(row().time_out_alarm.code, static_cast<std::uint8_t>(StationAlarm::not_in_sync));
        return;
    }
    Stand stand(row());
    stand.state.transfer_attempts = static_cast<std::uint8_t>(stand.settings.step.attempts_max - 1);
    while (stand.step() == row().step) stand.wait_in_vain();
    EXPECT_TRUE(stand.raised(row().time_out_alarm));
    EXPECT_TRUE(stand.recover());
    EXPECT_TRUE(stand.raised(retry_of(row().sequence).alarm));
    EXPECT_FALSE(stand.state.drive_locked_out) << "a transfer goes on being tried after each pause";
}

TEST_P(EveryStep, with_a_contact_that_lets_go_is_left_as_for_a_lost_pump) {
    const StepRow& r = row();
    const bool drive_side = r.advice.drive_side_close && r.wait_for != Condition::drive_side_closed;
    const bool line_side = r.advice.line_side_close && r.wait_for != Condition::line_side_closed &&
                           r.wait_for != Condition::running_on_line;
    if (drive_side)
        with(
            [](Stand& s) {
                s.picture.drive_side_closed = 0;
                s.picture.drive_side_open = 0x0F;
            },
            r.on_pump_lost, Blame::the_pump);
    if (line_side)
        with(
            [](Stand& s) {
                s.picture.line_side_closed = 0;
                s.picture.line_side_open = 0x0F;
            },
            r.on_pump_lost, Blame::the_pump);
    if (r.advice.output_close && r.wait_for != Condition::output_closed)
        with(
            [](Stand& s) {
                s.picture.output_closed = false;
                s.picture.output_open = true;
            },
            r.on_drive_lost, Blame::the_drive);
    EXPECT_TRUE(drive_side || line_side || !r.advice.drive_run || r.advice.output_close);
}

TEST_P(EveryStep, whose_bus_meets_the_line_is_left_by_its_way) {
    if (row().on_bus_joined_to_line.step == row().step) {
        const bool apart = row().advice.drive_run && !row().advice.synchronise;
        EXPECT_FALSE(apart) << "a drive out of step with the line would stay on a bus that the line feeds";
        return;
    }
    with(
        [](Stand& s) {
            s.picture.drive_side_closed = s.picture.line_side_closed = bit_of(pump);
            s.picture.drive_side_open = s.picture.line_side_open = static_cast<PumpMask>(~bit_of(pump));
        },
        row().on_bus_joined_to_line, Blame::the_pump);
}

TEST_P(EveryStep, whose_drive_is_lost_is_left_by_its_way) {
    const Way way = rides_alone(row()) ? Way{row().step, {}} : row().on_drive_lost;
    with([](Stand& s) { s.picture.drive_tripped = true; }, way, Blame::the_drive);
    with([](Stand& s) { s.picture.drive_not_ready = true; }, way, Blame::the_drive);
    if (row().drive_must_run && row().wait_for != Condition::slow)
        with(
            [](Stand& s) {
                s.picture.drive_running = false;
                s.picture.drive_standing = true;
            },
            way, Blame::the_drive);
}

TEST_P(EveryStep, that_needs_sync_is_left_when_it_goes_or_the_line_dips_and_no_other_is) {
    const Way way = row().needs_sync ? row().on_sync_lost : Way{row().step, {}};
    if (row().wait_for != Condition::in_sync)
        with([](Stand& s) { s.picture.drive_claims_sync = s.in_sync = false; }, way, Blame::the_pump);
    with([](Stand& s) { s.picture.line_poor = true; }, way, Blame::the_pump);
}

TEST_P(EveryStep, whose_pump_trips_or_is_taken_out_of_automatic_is_left_without_a_failure) {
    with([](Stand& s) { s.picture.tripped = bit_of(pump); }, row().on_pump_lost, Blame::nobody);
    with(
        [](Stand& s) {
            s.picture.automatic = 0x0E;
            s.picture.not_automatic = bit_of(pump);
        },
        row().on_pump_lost, Blame::nobody);
    with(
        [](Stand& s) {
            s.picture.automatic = 0x0E;
            s.picture.not_automatic = s.picture.hand = bit_of(pump);
        },
        row().on_pump_lost, Blame::nobody);
}

TEST_P(EveryStep, is_left_for_a_lost_supply_and_an_emergency_stop_as_for_a_lost_pump) {
    for (const auto& [code, why] : {std::pair{Permissive::supply, Reason::supply_lost},
                                    std::pair{Permissive::emergency_stop, Reason::emergency_stop},
                                    std::pair{Permissive::low_cutoff, Reason::low_cutoff}}) {
        Stand stand(row());
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

TEST(TransferAttempts, never_come_round_to_nothing) {
    Stand stand(row_of(Step::over_synchronise));
    for (int failure = 0; failure < 300; ++failure) {
        core::Run& run = stand.state.main;
        run = core::Run{};
        run.sequence = Sequence::hand_over;
        run.step = Step::over_synchronise;
        run.pump = pump;
        run.entered_ms = stand.now_ms - stand.settings.step.synchronise_ms;
        stand.state.drive_pump = no_pump;
        stand.state.pumps[pump].state = PumpState::to_line;
        stand.wait_in_vain();
        const bool often = failure + 1 >= stand.settings.step.attempts_max;
        ASSERT_EQ(stand.raised(alarm(PumpAlarm::hand_over_failed)), often) << failure;
    }
    EXPECT_EQ(stand.state.transfer_attempts, 255);
}

TEST(StartCount, leaves_out_a_start_called_off_in_the_scan_that_would_have_begun_it) {
    Stand stand(row_of(Step::start_close_output));
    stand.pass();
    stand.settle();
    stand.stop_all_pumps(Permissive::emergency_stop, Reason::emergency_stop);
    EXPECT_FALSE(stand.advice.drive_run);
    EXPECT_TRUE(stand.recover());
    EXPECT_EQ(stand.state.pumps[pump].starts_total, 0U);
    EXPECT_EQ(stand.state.last_start_ms, never_ms);
}

TEST(StartCount, counts_a_start_that_was_advised_for_one_scan) {
    Stand stand(row_of(Step::start_close_output));
    stand.pass();
    stand.settle();
    stand.judge_scan();
    ASSERT_EQ(stand.step(), Step::start_run);
    const std::int64_t began_ms = stand.now_ms;
    stand.pass();
    stand.settle();
    stand.picture.tripped = bit_of(pump);
    stand.judge_scan();
    EXPECT_EQ(stand.state.pumps[pump].starts_total, 1U);
    EXPECT_EQ(stand.state.pumps[pump].started_ms, began_ms);
    EXPECT_EQ(stand.state.pumps[pump].starts.within_hour(stand.now_ms), 1);
}

TEST(StartCount, of_a_start_on_the_drive_is_one_in_succession_only_where_the_station_counts_it) {
    for (const bool counts : {true, false}) {
        Stand stand(row_of(Step::start_run));
        stand.settings.succession.drive_starts_count = counts;
        stand.wait_in_vain();
        EXPECT_EQ(stand.state.pumps[pump].starts_total, 1U);
        EXPECT_EQ(stand.state.pumps[pump].succession.starts, counts ? 1 : 0);
    }
}

// A pump that runs steadily on the drive
// -----------------------------------------------------------------------------------------------------

struct Steady : Stand {
    Steady() : Stand(row_of(Step::start_run)) {
        state.main = core::Run{};
        state.drive_pump = pump;
        state.pumps[pump].state = PumpState::on_drive;
        doubles::compose(state, {picture, sync(), minimum_hz}, minimum_hz, settings, advice);
        pass();
        settle();
    }
};
void close(PumpMask& closed, PumpMask& open, std::size_t which) {
    closed = static_cast<PumpMask>(closed | bit_of(which));
    open = static_cast<PumpMask>(open & ~bit_of(which));
}

TEST(PumpOnTheDrive, that_nothing_contradicts_runs_on) {
    Steady stand;
    stand.judge_scan();
    EXPECT_EQ(stand.step(), Step::idle);
    EXPECT_TRUE(stand.advice.drive_run && stand.advice.output_close);
}

TEST(PumpOnTheDrive, whose_bus_feeds_another_motor_too_is_let_go_output_first) {
    Steady stand;
    close(stand.picture.drive_side_closed, stand.picture.drive_side_open, pump + 1);
    stand.judge_scan();
    EXPECT_EQ(stand.step(), Step::stop_open_output);
    EXPECT_TRUE(stand.run_of().drive_failed);
    EXPECT_FALSE(stand.advice.output_close);
}

TEST(PumpOnTheDrive, whose_line_side_is_closed_is_let_go_output_first) {
    Steady stand;
    close(stand.picture.line_side_closed, stand.picture.line_side_open, pump);
    stand.judge_scan();
    EXPECT_EQ(stand.step(), Step::stop_open_output);
    EXPECT_FALSE(stand.run_of().drive_failed) << "the contact is to blame";
}

TEST(PumpOnTheDrive, whose_drive_side_or_output_is_open_is_stopped) {
    Steady side;
    close(side.picture.drive_side_open, side.picture.drive_side_closed, pump);
    side.judge_scan();
    EXPECT_EQ(side.step(), Step::stop_drive);
    EXPECT_FALSE(side.advice.drive_run);

    Steady output;
    output.picture.output_closed = false;
    output.picture.output_open = true;
    output.judge_scan();
    EXPECT_EQ(output.step(), Step::stop_drive);
    EXPECT_FALSE(output.advice.drive_run);
}

TEST(StartOnDrive, whose_bus_feeds_another_motor_too_is_left_as_for_a_lost_drive) {
    Stand stand(row_of(Step::start_run));
    stand.pass();
    stand.settle();
    close(stand.picture.drive_side_closed, stand.picture.drive_side_open, pump + 1);
    stand.judge_scan();
    EXPECT_EQ(stand.step(), row_of(Step::start_run).on_drive_lost.step);
    EXPECT_TRUE(stand.run_of().drive_failed);
}

// What a confirmation needs
// -----------------------------------------------------------------------------------------------------

TEST(MinimumFlowSpeed, is_not_confirmed_by_a_speed_that_is_not_known) {
    Stand stand(row_of(Step::start_run));
    stand.pass();
    stand.settle();
    stand.picture.drive_hz_known = false;
    stand.judge_scan();
    EXPECT_EQ(stand.step(), Step::start_run);
}

TEST(LineFrequency, is_not_confirmed_by_a_drive_of_which_it_is_not_known_that_it_runs) {
    Stand stand(row_of(Step::over_line_frequency));
    stand.pass();
    stand.settle();
    stand.picture.drive_running = stand.picture.drive_standing = false;
    stand.judge_scan();
    EXPECT_EQ(stand.step(), Step::over_line_frequency);
}

TEST(LineFrequency, is_not_confirmed_by_a_speed_that_is_not_known_nor_by_one_above_it) {
    Stand stand(row_of(Step::over_line_frequency));
    stand.pass();
    stand.settle();
    stand.picture.drive_hz_known = false;
    stand.judge_scan();
    EXPECT_EQ(stand.step(), Step::over_line_frequency);

    stand.pass();
    stand.settle();
    stand.picture.drive_hz = line_hz + 2;
    stand.judge_scan();
    EXPECT_EQ(stand.step(), Step::over_line_frequency);
}

TEST(RampDown, is_over_when_the_drive_stands_although_its_speed_is_not_known) {
    Stand stand(row_of(Step::stop_ramp));
    stand.pass();
    stand.settle();
    stand.picture.drive_hz_known = stand.picture.drive_standing = false;
    stand.judge_scan();
    EXPECT_EQ(stand.step(), Step::stop_ramp);

    stand.pass();
    stand.settle();
    stand.picture.drive_hz_known = false;
    stand.picture.drive_standing = true;
    stand.judge_scan();
    EXPECT_NE(stand.step(), Step::stop_ramp);
}

TEST(LineStart, whose_line_side_opens_again_while_the_motor_still_has_voltage_does_not_close_it_twice) {
    Stand stand(row_of(Step::line_start_close));
    stand.settings.permissives.residual_voltage_ms = 2000;
    stand.wait_in_vain();
    ASSERT_EQ(stand.step(), Step::line_start_close);

    stand.pass();
    stand.settle();
    stand.deny(Condition::running_on_line);
    stand.deny(Condition::line_side_closed);
    stand.judge_scan();
    EXPECT_EQ(stand.step(), Step::line_start_withdraw);
    EXPECT_FALSE(stand.advice.pumps[pump].line_side_close);
}

TEST(Synchronism, that_comes_too_late_to_have_held_is_late_and_no_disagreement) {
    Stand stand(row_of(Step::over_synchronise));
    stand.state.transfer_attempts = static_cast<std::uint8_t>(stand.settings.step.attempts_max - 1);
    while (stand.now_ms - start_ms < stand.settings.step.synchronise_ms - scan_ms) stand.wait_in_vain();
    ASSERT_EQ(stand.step(), Step::over_synchronise);

    stand.pass();
    stand.in_sync = true;
    stand.settle();
    stand.judge_scan();
    EXPECT_NE(stand.step(), Step::over_synchronise);
    EXPECT_TRUE(stand.raised(alarm(StationAlarm::not_in_sync)));
    EXPECT_FALSE(stand.raised(alarm(StationAlarm::sync_check_disagrees)));
}

TEST(TakeBack, withdrawn_with_a_drive_side_that_stays_closed_alarms_that_one_and_not_the_output) {
    Stand stand(row_of(Step::back_withdraw_output));
    while (stand.step() == Step::back_withdraw_output && stand.now_ms - start_ms < 1_min) {
        stand.pass();
        stand.settle();
        close(stand.picture.drive_side_closed, stand.picture.drive_side_open, pump);
        stand.judge_scan();
    }
    EXPECT_EQ(stand.state.pumps[pump].state, PumpState::on_line);
    EXPECT_TRUE(stand.raised(alarm(PumpAlarm::drive_side_does_not_open)));
    EXPECT_FALSE(stand.raised(alarm(StationAlarm::output_does_not_open)));
}

TEST(LockOut, stands_when_the_pump_s_stop_fails_too) {
    Stand stand(row_of(Step::stop_open_drive_side));
    stand.state.latched_pump[pump] = alarm_bit(PumpAlarm::locked_out);
    while (stand.step() == Step::stop_open_drive_side && stand.now_ms - start_ms < 1_min)
        stand.wait_in_vain();
    EXPECT_EQ(stand.state.pumps[pump].state, PumpState::locked_out);
    EXPECT_TRUE(stand.raised(alarm(PumpAlarm::drive_side_does_not_open)));
}

TEST(Run, that_is_not_under_way_is_left_alone) {
    Stand stand(row_of(Step::stop_ramp));
    stand.picture.tripped = 0x0F;
    const SequencerInputs inputs{stand.picture, stand.sync(), minimum_hz};
    EXPECT_TRUE(judge(stand.run_of(), stand.state, inputs, stand.settings).leave);
    EXPECT_FALSE(judge(core::Run{}, stand.state, inputs, stand.settings).leave);
}

TEST(Drive, is_free_only_when_every_drive_side_and_its_output_are_known_to_be_open) {
    const Settings settings = doubles::four_pumps();
    Picture picture;
    picture.drive_side_open = 0x0F;
    picture.output_open = picture.drive_standing = true;
    EXPECT_TRUE(drive_is_free(picture, settings));
    EXPECT_TRUE(drive_can_take(picture, settings));

    Picture unread = picture;
    unread.drive_side_open = 0x0B;
    EXPECT_FALSE(drive_is_free(unread, settings));
    EXPECT_FALSE(drive_can_take(unread, settings));
    Picture fed = picture;
    fed.output_open = false;
    EXPECT_FALSE(drive_is_free(fed, settings));
    Picture turning = picture;
    turning.drive_standing = false;
    EXPECT_TRUE(drive_is_free(turning, settings));
    EXPECT_FALSE(drive_can_take(turning, settings));
}

TEST(StopAll, does_not_begin_anew_with_a_pump_that_is_already_being_stopped_from_the_line) {
    Stand stand(row_of(Step::start_close_drive_side));
    constexpr std::uint8_t other = 1;
    stand.state.pumps[other].state = PumpState::on_line;
    core::Run& stop = stand.state.line_stop[other];
    stop.sequence = Sequence::stop_from_line;
    stop.step = Step::line_stop_open;
    stop.pump = other;
    stop.entered_ms = start_ms;
    stand.pass();
    stand.settle();
    stand.picture.line_side_closed = bit_of(other);
    stand.picture.line_side_open = static_cast<PumpMask>(stand.picture.line_side_open & ~bit_of(other));
    stand.stop_all_pumps(Permissive::emergency_stop, Reason::emergency_stop);
    EXPECT_EQ(stop.entered_ms, start_ms);
}

}  // namespace
}  // namespace freshet::core
