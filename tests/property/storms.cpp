// Random storms; see the header.
#include "tests/property/storms.hpp"

#include <bit>
#include <cstdio>

namespace freshet::storms {

namespace {

using core::Advice;
using core::Inputs;
using core::Settings;
using doubles::StationDouble;

/// SplitMix64: small, good enough, and the same on every machine.
class Dice {
  public:
    explicit Dice(std::uint64_t seed) : state_(seed * 0x9E3779B97F4A7C15ULL + 0x1234567ULL) {}
    std::uint64_t throw_bits() {
        std::uint64_t z = (state_ += 0x9E3779B97F4A7C15ULL);
        z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27U)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31U);
    }
    double between(double low, double high) {
        return low + (high - low) * static_cast<double>(throw_bits() >> 11U) * 0x1.0p-53;
    }
    std::int64_t between_ms(std::int64_t low, std::int64_t high) {
        return low + static_cast<std::int64_t>(throw_bits() % static_cast<std::uint64_t>(high - low + 1));
    }
    std::size_t one_of(std::size_t count) { return static_cast<std::size_t>(throw_bits() % count); }
    bool one_in(std::size_t count) { return one_of(count) == 0; }

  private:
    std::uint64_t state_;
};

enum class Fault : std::uint8_t {
    does_not_close,
    does_not_open,
    late,
    lies_closed,
    lies_open,
    contact_silent,
    drive_trips,
    drive_not_ready,
    never_in_sync,
    claims_falsely,
    does_not_run,
    does_not_stop,
    drive_silent,
    angle_off,
    pump_trips,
    selector_moved,
    level_quality,
    level_jumps,
    loop_fails,
    level_stops,
    link_lost,
    supply_fails,
    emergency_stop,
    generator,
    current_missing,
    pump_unwell,
    float_fails,
    scan_stalls,
    controller_restarts,
    count
};

struct ActiveFault {
    Fault kind = Fault::count;
    std::size_t where = 0;
    std::int64_t until_ms = 0;
};

doubles::Contactor& contactor_of(StationDouble& station, std::size_t where) {
    if (where == 0) return station.output;
    const std::size_t pump = (where - 1) / 2;
    return (where - 1) % 2 == 0 ? station.drive_side[pump] : station.line_side[pump];
}

/// Whether a fault of transmitter 0, 1 or both (2) is one of transmitter `i`.
bool is_of(std::size_t where, std::size_t i) {
    return where == 2 || where == i;
}

/// Puts a fault on, with its own random size. `pumps` counts the station's.
std::size_t put_on(StationDouble& station, Fault kind, std::size_t pumps, Dice& dice) {
    const std::size_t contactor = dice.one_of(1 + 2 * pumps);
    const std::size_t pump = dice.one_of(pumps);
    // One transmitter, or both, as when their card fails.
    const std::size_t transmitter = dice.one_of(3);
    switch (kind) {
        case Fault::does_not_close:
            contactor_of(station, contactor).fault.does_not_close = true;
            return contactor;
        case Fault::does_not_open:
            contactor_of(station, contactor).fault.does_not_open = true;
            return contactor;
        case Fault::late:
            contactor_of(station, contactor).fault.extra_ms =
                static_cast<std::int32_t>(dice.between_ms(50, 3000));
            return contactor;
        case Fault::lies_closed:
            contactor_of(station, contactor).fault.lies_closed = true;
            return contactor;
        case Fault::lies_open:
            contactor_of(station, contactor).fault.lies_open = true;
            return contactor;
        case Fault::contact_silent:
            contactor_of(station, contactor).fault.silent = true;
            return contactor;
        case Fault::drive_trips:
            station.drive_fault.trips = true;
            return 0;
        case Fault::drive_not_ready:
            station.drive_fault.not_ready = true;
            return 0;
        case Fault::never_in_sync:
            station.drive_fault.never_in_sync = true;
            return 0;
        case Fault::claims_falsely:
            station.drive_fault.claims_falsely = true;
            return 0;
        case Fault::does_not_run:
            station.drive_fault.does_not_run = true;
            return 0;
        case Fault::does_not_stop:
            station.drive_fault.does_not_stop = true;
            return 0;
        case Fault::drive_silent:
            station.drive_fault.silent = true;
            return 0;
        case Fault::angle_off:
            station.drive_fault.angle_error_deg = dice.between(-60, 60);
            return 0;
        case Fault::pump_trips:
            station.pump_tripped[pump] = true;
            return pump;
        case Fault::selector_moved:
            station.selector[pump] = dice.one_in(2) ? core::Selector::hand : core::Selector::off;
            return pump;
        case Fault::level_quality: {
            const core::Quality quality = dice.one_in(2) ? core::Quality::bad : core::Quality::uncertain;
            for (std::size_t i = 0; i < 2; ++i)
                if (is_of(transmitter, i)) station.level_quality[i] = quality;
            return transmitter;
        }
        case Fault::level_jumps: {
            const double error_m = dice.between(-2.5, 2.5);
            for (std::size_t i = 0; i < 2; ++i)
                if (is_of(transmitter, i)) station.level_error_m[i] = error_m;
            return transmitter;
        }
        case Fault::loop_fails: {
            constexpr std::array<double, 5> loops_ma{0.0, 3.5, 3.7, 20.8, 21.5};
            const double loop_ma = loops_ma[dice.one_of(loops_ma.size())];
            for (std::size_t i = 0; i < 2; ++i)
                if (is_of(transmitter, i)) station.level_fault[i].loop_ma = loop_ma;
            return transmitter;
        }
        case Fault::level_stops:
            for (std::size_t i = 0; i < 2; ++i)
                if (is_of(transmitter, i)) station.level_fault[i].stops_reading = true;
            return transmitter;
        case Fault::link_lost:
            station.link_lost = true;
            return 0;
        case Fault::supply_fails:
            station.line_voltage_v = dice.one_in(2) ? 0 : dice.between(1300, 2200);
            return 0;
        case Fault::emergency_stop:
            station.emergency_stop = true;
            return 0;
        case Fault::generator:
            station.on_generator = true;
            return 0;
        case Fault::current_missing:
            station.current_missing[pump] = true;
            return pump;
        case Fault::pump_unwell:
            (dice.one_in(2) ? station.hot : station.seal_leak)[pump] = true;
            return pump;
        case Fault::float_fails: {
            doubles::FloatFault& one = dice.one_in(2) ? station.high_float_fault : station.low_float_fault;
            const std::size_t how = dice.one_of(3);
            one.stuck_on = how == 0;
            one.stuck_off = how == 1;
            one.silent = how == 2;
            return 0;
        }
        case Fault::scan_stalls:
        case Fault::controller_restarts:
        case Fault::count:
            break;
    }
    return 0;
}

void take_off(StationDouble& station, const ActiveFault& fault) {
    const std::size_t where = fault.where;
    switch (fault.kind) {
        case Fault::does_not_close:
        case Fault::does_not_open:
        case Fault::late:
        case Fault::lies_closed:
        case Fault::lies_open:
        case Fault::contact_silent:
            contactor_of(station, where).fault = {};
            break;
        case Fault::drive_trips:
        case Fault::drive_not_ready:
        case Fault::never_in_sync:
        case Fault::claims_falsely:
        case Fault::does_not_run:
        case Fault::does_not_stop:
        case Fault::drive_silent:
        case Fault::angle_off:
            station.drive_fault = {};
            break;
        case Fault::pump_trips:
            station.pump_tripped[where] = false;
            break;
        case Fault::selector_moved:
            station.selector[where] = core::Selector::automatic;
            break;
        case Fault::level_quality:
            for (std::size_t i = 0; i < 2; ++i)
                if (is_of(where, i)) station.level_quality[i] = core::Quality::good;
            break;
        case Fault::level_jumps:
            for (std::size_t i = 0; i < 2; ++i)
                if (is_of(where, i)) station.level_error_m[i] = 0;
            break;
        case Fault::loop_fails:
        case Fault::level_stops:
            for (std::size_t i = 0; i < 2; ++i)
                if (is_of(where, i)) station.level_fault[i] = {};
            break;
        case Fault::link_lost:
            station.link_lost = false;
            break;
        case Fault::supply_fails:
            station.line_voltage_v = 2300;
            break;
        case Fault::emergency_stop:
            station.emergency_stop = false;
            break;
        case Fault::generator:
            station.on_generator = false;
            break;
        case Fault::current_missing:
            station.current_missing[where] = false;
            break;
        case Fault::pump_unwell:
            station.hot[where] = station.seal_leak[where] = false;
            break;
        case Fault::float_fails:
            station.high_float_fault = station.low_float_fault = {};
            break;
        case Fault::scan_stalls:
        case Fault::controller_restarts:
        case Fault::count:
            break;
    }
}

/// Inflow of the storm: a base and one triangular burst, m3/s, renewed every few seconds.
struct Weather {
    double base_m3s, peak_m3s;
    std::int64_t rise_ms, peak_ms, end_ms;

    double inflow_m3s(std::int64_t t) const {
        if (t <= rise_ms || t >= end_ms) return base_m3s;
        const double up = static_cast<double>(t - rise_ms) / static_cast<double>(peak_ms - rise_ms);
        const double down = static_cast<double>(end_ms - t) / static_cast<double>(end_ms - peak_ms);
        return base_m3s + peak_m3s * (up < down ? up : down);
    }
};

void mix(std::uint64_t& digest, std::uint64_t word) {
    digest = (std::rotl(digest, 5) ^ word) * 0x100000001B3ULL;
}
void mix(std::uint64_t& digest, double value) {
    mix(digest, std::bit_cast<std::uint64_t>(value));
}

/// Everything that one scan says, as a number.
std::uint64_t digest_of(const Advice& advice, std::size_t pump_count) {
    std::uint64_t digest = 0xCBF29CE484222325ULL;
    const auto word = [&](auto value) { mix(digest, static_cast<std::uint64_t>(value)); };
    word(advice.time_ms);
    word(advice.scan_count);
    for (std::size_t p = 0; p < pump_count; ++p) {
        const core::PumpAdvice& one = advice.pumps[p];
        word((one.drive_side_close ? 1U : 0U) | (one.line_side_close ? 2U : 0U) |
             static_cast<unsigned>(one.state) << 2U | static_cast<unsigned>(advice.pump_alarms[p]) << 8U);
        word(advice.pump_alarms_unacknowledged[p]);
        word(advice.figures[p].run_ms);
        word(advice.figures[p].starts | advice.figures[p].line_starts << 12U |
             static_cast<unsigned>(advice.figures[p].starts_last_hour) << 24U);
    }
    word((advice.drive_run ? 1U : 0U) | (advice.synchronise ? 2U : 0U) | (advice.output_close ? 4U : 0U) |
         static_cast<unsigned>(advice.sequence) << 3U | static_cast<unsigned>(advice.step) << 8U |
         static_cast<unsigned>(advice.sequence_pump) << 16U |
         static_cast<unsigned>(advice.drive_pump) << 24U);
    word(static_cast<unsigned>(advice.pumps_on_line) | static_cast<unsigned>(advice.service) << 8U |
         static_cast<unsigned>(advice.measured_quality) << 16U |
         static_cast<unsigned>(advice.measured_cause) << 24U);
    word(static_cast<unsigned>(advice.next.intention) | static_cast<unsigned>(advice.next.pump) << 8U |
         static_cast<unsigned>(advice.next.reason) << 16U);
    word(advice.next.countdown_ms);
    for (const double value : {advice.speed_hz, advice.measured_m, advice.demand_hz, advice.minimum_flow_hz,
                               advice.inflow_m3s, advice.pumped_m3s})
        mix(digest, value);
    word(advice.station_alarms);
    word(advice.station_alarms_unacknowledged);
    for (std::size_t i = 0; i < advice.event_count; ++i) {
        const core::Event& event = advice.events[i];
        word(static_cast<std::uint64_t>(event.number) << 32U | event.cause_number);
        word(static_cast<unsigned>(event.what) | static_cast<unsigned>(event.detail) << 8U |
             static_cast<unsigned>(event.pump) << 16U | static_cast<unsigned>(event.why) << 24U);
        for (const double value : event.values) mix(digest, value);
    }
    return digest;
}

void count_events(Outcome& outcome, const Advice& advice) {
    if (advice.event_count > outcome.events_most) outcome.events_most = advice.event_count;
    for (std::size_t i = 0; i < advice.event_count; ++i) {
        const core::Event& event = advice.events[i];
        const auto sequence = static_cast<core::Sequence>(event.detail);
        switch (event.what) {
            case core::EventKind::sequence_done:
                outcome.starts += sequence == core::Sequence::start_on_drive ? 1 : 0;
                outcome.line_starts += sequence == core::Sequence::line_start ? 1 : 0;
                outcome.hand_overs += sequence == core::Sequence::hand_over ? 1 : 0;
                outcome.take_backs += sequence == core::Sequence::take_back ? 1 : 0;
                break;
            case core::EventKind::sequence_withdrawn:
                ++outcome.withdrawn;
                break;
            case core::EventKind::protective_stop:
                ++outcome.protective_stops;
                break;
            case core::EventKind::pump_state:
                outcome.lock_outs +=
                    static_cast<core::PumpState>(event.detail) == core::PumpState::locked_out ? 1 : 0;
                break;
            case core::EventKind::alarm_acknowledged:
            case core::EventKind::alarm_shelved:
            case core::EventKind::alarm_unshelved:
            case core::EventKind::alarm_out_of_service:
            case core::EventKind::alarm_in_service:
                ++outcome.orders_obeyed;
                break;
            default:
                break;
        }
    }
}

/// Somebody at the panel who acknowledges and sets aside alarms at odd times, whether they stand or not, and
/// now and then names one that does not exist. Has dice of its own, so that a storm is the same without
/// anybody.
class AlarmOrders {
  public:
    AlarmOrders(std::uint64_t seed, std::int64_t begin_ms) : dice_(~seed), next_ms_(begin_ms) {}

    core::OperatorInputs at(std::int64_t now_ms) {
        if (now_ms < next_ms_) return {};
        next_ms_ = now_ms + dice_.between_ms(1, 120'000);
        constexpr std::array kinds{core::AlarmOrder::none,
                                   core::AlarmOrder::acknowledge,
                                   core::AlarmOrder::shelve,
                                   core::AlarmOrder::unshelve,
                                   core::AlarmOrder::take_out_of_service,
                                   core::AlarmOrder::return_to_service};
        core::OperatorInputs people;
        people.acknowledge_all = dice_.one_in(4);
        people.order = kinds[dice_.one_of(kinds.size())];
        const bool of_station = dice_.one_in(2);
        people.pump =
            of_station ? core::no_pump : static_cast<std::uint8_t>(dice_.one_of(core::pumps_max + 1));
        people.alarm = static_cast<std::uint8_t>(
            dice_.one_of((of_station ? core::station_alarm_count : core::pump_alarm_count) + 1));
        people.shelve_ms = static_cast<std::int32_t>(dice_.between_ms(-1, 600'000));
        return people;
    }

  private:
    Dice dice_;
    std::int64_t next_ms_;
};

/// What the station was doing before the controller looked at it for the first time.
Advice earlier_advice(const Settings& settings, Dice& dice) {
    Advice advice;
    if (dice.one_in(2)) return advice;
    const std::size_t pumps = settings.pump_count;
    for (std::size_t p = 0; p < pumps; ++p) advice.pumps[p].line_side_close = dice.one_in(3);
    const std::size_t fed = dice.one_of(pumps);
    if (!advice.pumps[fed].line_side_close || dice.one_in(3)) {
        advice.pumps[fed].drive_side_close = advice.output_close = advice.drive_run = true;
        advice.synchronise = advice.pumps[fed].line_side_close;
        advice.speed_hz = 55;
        if (dice.one_in(4)) advice.output_close = false;
    }
    return advice;
}

}  // namespace

core::Settings station_settings(std::size_t station) {
    Settings s = doubles::four_pumps();
    constexpr std::array<std::uint8_t, 4> pumps{4, 3, 2, 5};
    constexpr std::array<std::int32_t, 3> scans_ms{200, 500, 250};
    s.pump_count = pumps[station % pumps.size()];
    s.scan_ms = scans_ms[station % scans_ms.size()];
    s.store = {{{0.0, 0.0}, {5.0, station % 2 == 0 ? 400.0 : 900.0}}};
    s.staging.forecast = station % 3 != 1;
    s.staging.up_delay_ms = s.staging.down_delay_ms = 10'000;
    s.line_start.allowed = station % 4 != 3;
    s.line_start.short_circuit_va = 60e6;
    s.floats.fitted = station % 5 != 4;
    s.floats.run_on_ms = 40'000;
    s.permissives.starts_per_hour_max = static_cast<std::uint8_t>(3 + station % 4);
    s.permissives.transfers_per_hour_max = static_cast<std::uint8_t>(4 + 2 * (station % 4));
    s.permissives.rest_min_ms = station % 2 == 0 ? 20'000 : 90'000;
    s.permissives.run_min_ms = station % 3 == 0 ? 30'000 : 120'000;
    s.permissives.residual_voltage_ms = station % 2 == 0 ? 3'000 : 30'000;
    s.permissives.pumps_max_on_generator = 2;
    s.signal.freeze_ms = station % 6 == 5 ? 120'000 : 0;
    s.step.overlap_ms = station % 2 == 0 ? 500 : 1'000;
    s.step.attempts_max = static_cast<std::uint8_t>(2 + station % 2);
    s.step.retry_pause_ms = 20'000;
    s.step.synchronise_ms = 12'000;
    s.sync.hold_ms = station % 2 == 0 ? 300 : 1'000;
    s.exercise_ms = station % 4 == 1 ? 1'200'000 : 0;
    if (station % 4 == 0) {
        // Reached with three or four pumps, see the stand-in's header.
        s.pressure_transmitter = {true, 0, 50};
        s.permissives.discharge_pressure_max_m = 26;
        s.permissives.discharge_pressure_hold_ms = 2'000;
    }
    if (station % 3 == 2)
        s.succession = {.cold_starts_max = 2,
                        .warm_starts_max = 1,
                        .cool_ms = 1'800'000,
                        .rest_ms = 300'000,
                        .even_run_ms = 600'000,
                        .drive_starts_count = station % 2 == 0};
    s.signal.selection = station % 5 == 3 ? core::Selection::by_quality : core::Selection::average;
    s.rotation = station % 3 == 0 ? core::Rotation::hours : core::Rotation::starts;
    return s;
}

Prototypes make_prototypes(void (*spoil)(core::Settings&)) {
    Prototypes prototypes;
    for (std::size_t station = 0; station < station_count; ++station) {
        const Settings judged = station_settings(station);
        Settings told = judged;
        if (spoil != nullptr) spoil(told);
        prototypes.push_back(
            std::make_unique<Prototype>(Prototype{judged, core::Controller(told), StationDouble(judged)}));
    }
    return prototypes;
}

Outcome run_storm(const Prototypes& prototypes, std::uint64_t seed, const Options& options) {
    const Prototype& prototype = *prototypes[station_of(seed)];
    const Settings& settings = prototype.judged;
    Dice dice(seed);
    StationDouble station = prototype.station;
    constexpr double header_m_per_m3s2 = 3;
    station.header_m_per_m3s2 = header_m_per_m3s2;
    // Every other station has meters that hold their values for a second, as many have.
    station.meters_update_ms = seed % 2 == 0 ? 1000 : 0;
    core::Controller controller = prototype.controller;
    laws::History history;
    Outcome outcome;
    outcome.seed = seed;

    const std::int64_t begin_ms = station.now_ms;
    const std::int64_t end_ms = begin_ms + dice.between_ms(3'600'000, 3 * 3'600'000);
    const Weather weather{
        dice.between(0, 0.6), dice.between(0.5, 3.5), begin_ms + dice.between_ms(0, 1'200'000),
        begin_ms + dice.between_ms(1'500'000, 2'400'000), end_ms - dice.between_ms(0, 900'000)};
    station.level_m = dice.between(0.5, 3.5);
    const Advice earlier = earlier_advice(settings, dice);
    constexpr int earlier_scans = 40;
    for (int i = 0; i < earlier_scans; ++i) station.step(earlier);

    constexpr std::size_t faults_max = 6;
    std::array<ActiveFault, faults_max> active{};
    // Some storms are calm, so that the straight ways are gone to their ends, too.
    const std::int64_t quiet_ms = dice.one_in(8) ? 1'500'000 : dice.between_ms(40'000, 240'000);
    std::int64_t next_fault_ms = begin_ms + dice.between_ms(0, quiet_ms);
    std::int64_t next_weather_ms = begin_ms;
    std::int64_t looked_ms = begin_ms;
    AlarmOrders orders(seed, begin_ms);
    int stalled_scans = 0;

    while (station.now_ms < end_ms) {
        const std::int64_t now_ms = station.now_ms;
        if (now_ms >= next_weather_ms) {
            constexpr std::int64_t weather_ms = 5'000;
            next_weather_ms = now_ms + weather_ms;
            station.inflow_m3s = weather.inflow_m3s(now_ms);
        }
        if (now_ms - looked_ms >= 1'000 || now_ms >= next_fault_ms) {
            looked_ms = now_ms;
            for (ActiveFault& one : active)
                if (one.kind != Fault::count && now_ms >= one.until_ms) {
                    take_off(station, one);
                    one = {};
                }
        }
        if (now_ms >= next_fault_ms) {
            next_fault_ms = now_ms + dice.between_ms(1, 2 * quiet_ms);
            const auto kind = static_cast<Fault>(dice.one_of(static_cast<std::size_t>(Fault::count)));
            const std::int64_t lasts_ms =
                dice.one_in(3) ? dice.between_ms(100, 3'000) : dice.between_ms(3'000, 300'000);
            if (kind == Fault::scan_stalls) {
                stalled_scans = static_cast<int>(dice.between_ms(1, 4'000) / settings.scan_ms);
            } else if (kind == Fault::controller_restarts) {
                controller = prototype.controller;
                history = {};
            } else {
                for (ActiveFault& one : active)
                    if (one.kind == Fault::count) {
                        one = {kind, put_on(station, kind, settings.pump_count, dice), now_ms + lasts_ms};
                        if (options.trace)
                            std::printf("%9.2f s  fault %d at %zu for %.1f s\n",
                                        1e-3 * static_cast<double>(now_ms - begin_ms), static_cast<int>(kind),
                                        one.where, 1e-3 * static_cast<double>(lasts_ms));
                        break;
                    }
            }
        }

        const core::OperatorInputs people = orders.at(now_ms);
        Inputs asked;
        const auto with_people = [&](const Inputs& seen) -> const Inputs& {
            if (!people.asks()) return seen;
            asked = seen;
            asked.people = people;
            return asked;
        };
        const Inputs& inputs = with_people(station.look());
        const std::uint64_t before = options.allocations != nullptr ? options.allocations() : 0;
        const Advice& advice = controller.scan(inputs);
        if (options.allocations != nullptr && options.allocations() != before)
            outcome.broken.push_back({10, "the scan allocated"});
        ++outcome.scans;
        if (advice.event_count > 0) count_events(outcome, advice);
        if (options.judge) laws::judge_scan(settings, history, inputs, advice, outcome.broken);
        mix(outcome.digest, digest_of(advice, settings.pump_count));
        if (options.trace)
            for (std::size_t i = 0; i < advice.event_count; ++i) {
                const core::Event& event = advice.events[i];
                std::printf("%9.2f s  event %4u by %4u  pump %d  what %d detail %d why %d  [%g %g %g %g]\n",
                            1e-3 * static_cast<double>(now_ms - begin_ms), event.number, event.cause_number,
                            event.pump == core::no_pump ? 0 : event.pump + 1, static_cast<int>(event.what),
                            event.detail, static_cast<int>(event.why), event.values[0], event.values[1],
                            event.values[2], event.values[3]);
            }
        if (!outcome.broken.empty()) {
            std::array<char, 80> line{};
            std::snprintf(line.data(), line.size(), " [after %.1f s, station %zu]",
                          1e-3 * static_cast<double>(now_ms - begin_ms), station_of(seed));
            for (laws::Broken& one : outcome.broken) one.figures += line.data();
            return outcome;
        }
        station.step(advice);
        for (; stalled_scans > 0; --stalled_scans) station.step(advice);
    }
    return outcome;
}

std::string described(const Outcome& outcome) {
    std::string text = "seed " + std::to_string(outcome.seed);
    for (const laws::Broken& one : outcome.broken)
        text += "\n  law " + std::to_string(one.law) + ": " + one.figures;
    return text;
}

}  // namespace freshet::storms
