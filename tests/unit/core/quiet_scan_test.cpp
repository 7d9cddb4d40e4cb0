// A quiet scan is a short cut and nothing else: for each thing that ends or forbids it, a controller that may
// take it and one that looks at everything in every scan advise the same, scan by scan. One reason to change:
// what a quiet scan may leave out.
#include <gtest/gtest.h>

#include <bit>
#include <functional>
#include <string>
#include <vector>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// What an advice says to everybody outside, number by number and to the last bit.
class Told {
  public:
    explicit Told(const Advice& advice) {
        constexpr std::size_t usual = 256;
        all_.reserve(usual);
        add(advice.time_ms, advice.scan_count, advice.drive_run, advice.speed_hz, advice.synchronise,
            advice.output_close, advice.sequence, advice.step, advice.sequence_pump, advice.drive_pump,
            advice.pumps_on_line, advice.service);
        add(advice.next.intention, advice.next.pump, advice.next.countdown_ms, advice.next.reason);
        add(advice.measured_m, advice.measured_quality, advice.measured_cause, advice.setpoint_m,
            advice.demand_hz, advice.minimum_flow_hz, advice.inflow_m3s, advice.pumped_m3s);
        for (const TransmitterState& one : advice.transmitters) add(one.quality, one.cause);
        add(advice.station_alarms, advice.station_alarms_unacknowledged);
        add_marks(advice.station_alarm_marks);
        for (std::size_t pump = 0; pump < pumps_max; ++pump) {
            const PumpFigures& figures = advice.figures[pump];
            add(advice.pumps[pump].drive_side_close, advice.pumps[pump].line_side_close,
                advice.pumps[pump].state, advice.pump_alarms[pump], advice.pump_alarms_unacknowledged[pump],
                figures.run_ms, figures.starts, figures.line_starts, figures.starts_last_hour);
            add_marks(advice.pump_alarm_marks[pump]);
        }
        add(advice.event_count, advice.events_lost);
        for (std::size_t i = 0; i < advice.event_count; ++i) {
            const Event& event = advice.events[i];
            add(event.number, event.cause_number, event.what, event.detail, event.pump, event.why);
            for (const double value : event.values) add(value);
        }
    }
    const std::vector<std::uint64_t>& all() const { return all_; }

  private:
    void add_one(double value) { all_.push_back(std::bit_cast<std::uint64_t>(value)); }
    template <class Whole>
    void add_one(Whole value) {
        all_.push_back(static_cast<std::uint64_t>(value));
    }
    void add(auto... values) { (add_one(values), ...); }
    void add_marks(const AlarmMarks& marks) {
        add(marks.shelved, marks.out_of_service, marks.suppressed, marks.first_out);
    }
    std::vector<std::uint64_t> all_;
};

std::vector<std::uint64_t> told(const Advice& advice) {
    return Told(advice).all();
}

/// Two controllers in front of one station: one may scan quietly, the other is told nothing of what changed.
class Twins {
  public:
    explicit Twins(const Settings& settings = doubles::four_pumps())
        : station(settings), quiet_(settings), full_(settings) {
        station.meters_update_ms = 5'000;  // so that a reading stands still from scan to scan
    }
    doubles::StationDouble station;
    std::function<void(Inputs&)> on_the_way;  ///< what the field does to the readings
    const Advice* advice = nullptr;
    std::size_t events = 0;

    void run_for(std::int64_t duration_ms) {
        for (const std::int64_t end = station.now_ms + duration_ms; station.now_ms < end;) {
            Inputs inputs = station.look();
            if (on_the_way) on_the_way(inputs);
            advice = &quiet_.scan(inputs);
            inputs.revision = inputs.two_state_revision = 0;
            ASSERT_EQ(told(*advice), told(full_.scan(inputs))) << "at " << station.now_ms;
            events += advice->event_count;
            station.step(*advice);
        }
    }
    /// One pump on the drive, the level steady, both controllers as quiet as they get; not at a look that is
    /// taken every second anyway.
    void settle() {
        station.level_m = 2.3;
        station.inflow_m3s = 0.6;
        run_for(15_min);
        run_for(400);
        ASSERT_EQ(advice->pumps[0].state, PumpState::on_drive);
        events = 0;
    }

  private:
    Controller quiet_, full_;
};

/// From now on some readings come no more: their time stands, their value and quality, too.
struct Silence {
    std::string name;
    std::function<void(Inputs& now, const Inputs& last)> of;
    void (*fit)(Settings&) = [](Settings&) {};
};

class TooOld : public testing::TestWithParam<Silence> {};

TEST_P(TooOld, ends_a_quiet_scan_in_the_scan_in_which_it_becomes_so) {
    Settings settings = doubles::four_pumps();
    GetParam().fit(settings);
    Twins twins(settings);
    twins.settle();
    const Inputs last = twins.station.look();
    twins.on_the_way = [&](Inputs& now) { GetParam().of(now, last); };
    twins.run_for(10_s);
    EXPECT_GT(twins.events, 0U) << "it is told";
    twins.on_the_way = nullptr;
    twins.run_for(30_s);
}

void two_state(Inputs& now, const Inputs& last) {
    Inputs old = last;
    for (std::size_t pump = 0; pump < pumps_max; ++pump) {
        old.pumps[pump].current_a = now.pumps[pump].current_a;
        old.pumps[pump].winding_temperature_k = now.pumps[pump].winding_temperature_k;
    }
    now.pumps = old.pumps;
    now.high_float = old.high_float;
    now.low_float = old.low_float;
    now.emergency_stop = old.emergency_stop;
    now.drive.ready = old.drive.ready;
    now.drive.running = old.drive.running;
    now.drive.tripped = old.drive.tripped;
    now.drive.in_sync = old.drive.in_sync;
    now.drive.output_closed = old.drive.output_closed;
    now.line.on_generator = old.line.on_generator;
    now.two_state_read_ms = old.two_state_read_ms;
}

INSTANTIATE_TEST_SUITE_P(Reading, TooOld,
                         testing::Values(Silence{"two_state_signals", two_state},
                                         Silence{"level_1",
                                                 [](Inputs& now, const Inputs& last) {
                                                     now.level[0].reading.read_ms =
                                                         last.level[0].reading.read_ms;
                                                 }},
                                         Silence{"header_pressure",
                                                 [](Inputs& now, const Inputs& last) {
                                                     now.header_pressure.reading.read_ms =
                                                         last.header_pressure.reading.read_ms;
                                                 },
                                                 [](Settings& settings) {
                                                     settings.pressure_transmitter = {true, 0, 50};
                                                     settings.permissives.discharge_pressure_max_m = 40;
                                                 }}),
                         [](const testing::TestParamInfo<Silence>& silence) { return silence.param.name; });

TEST(QuietScan, goes_on_while_meters_of_the_drive_and_the_line_grow_old) {
    Twins twins;
    twins.settle();
    ASSERT_GT(twins.advice->pumped_m3s, 0);
    const Inputs last = twins.station.look();
    twins.on_the_way = [&](Inputs& now) {
        now.drive.frequency_hz.read_ms = last.drive.frequency_hz.read_ms;
        now.line.frequency_hz.read_ms = last.line.frequency_hz.read_ms;
        now.line.voltage_v.read_ms = last.line.voltage_v.read_ms;
    };
    twins.run_for(10_s);
    EXPECT_EQ(twins.events, 0U);
    EXPECT_EQ(twins.advice->pumped_m3s, 0) << "of a drive whose speed is not known; seen at a look";
}

TEST(QuietScan, is_not_taken_when_people_ask_for_something) {
    Twins twins;
    twins.settle();
    twins.station.seal_leak[3] = true;
    twins.run_for(1_min);
    ASSERT_NE(twins.advice->pump_alarms_unacknowledged[3], 0);
    twins.on_the_way = [](Inputs& now) { now.people.acknowledge_all = true; };
    twins.run_for(100);
    EXPECT_EQ(twins.advice->pump_alarms_unacknowledged[3], 0);
}

TEST(QuietScan, watches_for_the_end_of_a_shelving) {
    Twins twins;
    twins.settle();
    twins.station.seal_leak[3] = true;
    twins.run_for(1_min);
    twins.on_the_way = [](Inputs& now) {
        now.people.order = AlarmOrder::shelve;
        now.people.alarm = static_cast<std::uint8_t>(PumpAlarm::seal_leak);
        now.people.pump = 3;
        now.people.shelve_ms = 61'350;
    };
    twins.run_for(100);
    twins.on_the_way = nullptr;
    ASSERT_EQ(twins.advice->pump_alarms[3], 0);
    twins.run_for(70_s);
    EXPECT_NE(twins.advice->pump_alarms[3], 0);
}

TEST(QuietScan, watches_for_the_end_of_a_pause_of_the_drive) {
    Settings settings = doubles::four_pumps();
    settings.step.retry_pause_ms = 90'350;
    Twins twins(settings);
    twins.settle();
    twins.station.drive_fault.does_not_stop = true;
    twins.station.level_m = 0.9;
    twins.station.inflow_m3s = 0;
    twins.run_for(1_min);
    twins.station.drive_fault.does_not_stop = false;
    twins.run_for(20_s);
    ASSERT_EQ(twins.advice->service, Service::fixed_speed);
    twins.run_for(2_min);
    EXPECT_EQ(twins.advice->service, Service::normal);
}

TEST(QuietScan, watches_a_drive_that_runs_with_nothing_to_do) {
    Settings settings = doubles::four_pumps();
    settings.step.drive_start_ms = 5'350;
    Twins twins(settings);
    twins.settle();
    twins.station.level_m = 0.9;
    twins.station.inflow_m3s = 0;
    twins.run_for(2_min);
    ASSERT_EQ(twins.advice->drive_pump, no_pump);
    twins.on_the_way = [](Inputs& now) {
        now.drive.running.on = true;
        constexpr std::uint64_t another = 1'000'000;
        now.two_state_revision += another;
        now.revision += another;
    };
    twins.run_for(10_s);
    ASSERT_EQ(twins.advice->service, Service::normal);
    twins.run_for(20_s);
    EXPECT_EQ(twins.advice->service, Service::fixed_speed);
}

TEST(QuietScan, watches_for_a_reading_that_freezes) {
    Settings settings = doubles::four_pumps();
    settings.signal.freeze_ms = 8'350;
    Twins twins(settings);
    twins.settle();
    twins.station.meters_update_ms = 60'000;
    twins.run_for(30_s);
    EXPECT_GT(twins.events, 0U) << "it is found out";
}

TEST(QuietScan, goes_on_with_one_transmitter_fitted) {
    Settings settings = doubles::four_pumps();
    settings.level_transmitter[1] = {};
    Twins twins(settings);
    twins.settle();
    twins.run_for(2_min);
    EXPECT_EQ(twins.advice->service, Service::normal);
}

TEST(QuietScan, goes_on_with_one_transmitter_left) {
    Twins twins;
    twins.settle();
    twins.station.level_quality[1] = Quality::bad;
    twins.run_for(2_min);
    EXPECT_EQ(twins.advice->service, Service::one_transmitter);
    twins.station.level_quality = {Quality::bad, Quality::good};
    twins.run_for(2_min);
    EXPECT_EQ(twins.advice->service, Service::one_transmitter);
}

/// A condition that stands, and in which something waits for the time or may follow from it. Times are odd,
/// so that none ends at a look or when the meters move.
struct Standing {
    std::string name;
    void (*bring_about)(doubles::StationDouble&);
    bool (*shows)(const Advice&);
    void (*fit)(Settings&) = [](Settings&) {};
};

class StandingCondition : public testing::TestWithParam<Standing> {};

TEST_P(StandingCondition, is_watched_as_in_a_full_scan) {
    Settings settings = doubles::four_pumps();
    GetParam().fit(settings);
    Twins twins(settings);
    twins.settle();
    GetParam().bring_about(twins.station);
    twins.run_for(1_min);
    EXPECT_TRUE(GetParam().shows(*twins.advice));
}

constexpr auto raised = [](const Advice& advice, StationAlarm code) {
    return (advice.station_alarms & alarm_bit(code)) != 0;
};

INSTANTIATE_TEST_SUITE_P(
    Station, StandingCondition,
    testing::Values(
        Standing{"emergency_stop", [](doubles::StationDouble& s) { s.emergency_stop = true; },
                 [](const Advice& advice) { return raised(advice, StationAlarm::emergency_stop); }},
        Standing{"drive_tripped", [](doubles::StationDouble& s) { s.drive_fault.trips = true; },
                 [](const Advice& advice) { return advice.service == Service::fixed_speed; }},
        Standing{"drive_that_does_not_stop",
                 [](doubles::StationDouble& s) {
                     s.drive_fault.does_not_stop = true;
                     s.level_m = 0.9;
                     s.inflow_m3s = 0;
                 },
                 [](const Advice& advice) { return raised(advice, StationAlarm::drive_does_not_stop); },
                 [](Settings& settings) { settings.step.drive_start_ms = 5'350; }},
        Standing{"high_float", [](doubles::StationDouble& s) { s.high_float_fault.stuck_on = true; },
                 [](const Advice& advice) { return raised(advice, StationAlarm::high_float); }},
        Standing{"low_float", [](doubles::StationDouble& s) { s.low_float_fault.stuck_off = true; },
                 [](const Advice& advice) { return raised(advice, StationAlarm::low_float_contradicts); }},
        Standing{"low_cut_off",
                 [](doubles::StationDouble& s) {
                     s.level_m = 0.55;
                     s.inflow_m3s = 0;
                 },
                 [](const Advice& advice) { return raised(advice, StationAlarm::value_low_cutoff); }},
        Standing{"two_that_disagree", [](doubles::StationDouble& s) { s.level_error_m[1] = 0.5; },
                 [](const Advice& advice) { return raised(advice, StationAlarm::transmitters_disagree); }},
        Standing{"poor_line", [](doubles::StationDouble& s) { s.line_voltage_v = 1725; },
                 [](const Advice& advice) { return raised(advice, StationAlarm::supply); }},
        Standing{"high_discharge_pressure", [](doubles::StationDouble& s) { s.header_pressure_m = 45; },
                 [](const Advice& advice) { return raised(advice, StationAlarm::discharge_pressure_high); },
                 [](Settings& settings) {
                     settings.permissives.discharge_pressure_hold_ms = 5'350;
                     settings.pressure_transmitter = {true, 0, 50};
                     settings.permissives.discharge_pressure_max_m = 40;
                 }},
        Standing{"uncertain_discharge_pressure",
                 [](doubles::StationDouble& s) { s.header_pressure_quality = Quality::uncertain; },
                 [](const Advice& advice) { return advice.service == Service::normal; },
                 [](Settings& settings) {
                     settings.pressure_transmitter = {true, 0, 50};
                     settings.permissives.discharge_pressure_max_m = 40;
                 }}),
    [](const testing::TestParamInfo<Standing>& standing) { return standing.param.name; });

TEST(QuietScan, is_never_taken_where_a_pressure_is_held) {
    Settings settings = doubles::four_pumps_holding_a_pressure();
    settings.floats.fitted = false;  // nothing else keeps it from being quiet
    Twins twins(settings);
    twins.station.header_pressure_m = 26;
    twins.run_for(1_min);
    twins.station.header_pressure_m = 20;
    twins.run_for(3_min);
    EXPECT_GT(twins.advice->pumps_on_line, 0) << "the pressure stays low";
    twins.station.header_pressure_m = 25;
    twins.run_for(1_min);

    twins.run_for(400);
    const Inputs last = twins.station.look();
    twins.events = 0;
    twins.on_the_way = [&](Inputs& now) {
        now.header_pressure.reading.read_ms = last.header_pressure.reading.read_ms;
    };
    twins.run_for(10_s);
    EXPECT_GT(twins.events, 0U) << "a pressure too old is told in the scan in which it becomes so";
}

}  // namespace
}  // namespace freshet::core
