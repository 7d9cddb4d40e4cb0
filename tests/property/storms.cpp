// Random storms; see the header.
#include "tests/property/storms.hpp"

#include <array>
#include <bit>
#include <cstdio>

#include "tests/property/storm_faults.hpp"

namespace freshet::storms {

namespace {

using core::Advice;
using core::Inputs;
using core::Settings;
using doubles::StationDouble;

/// Inflow of the storm, m3/s: a base and one triangular burst. The storm sets the inflow every five seconds.
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

/// A number for the whole advice of a scan.
std::uint64_t digest_of(const Advice& advice, std::size_t pump_count) {
    std::uint64_t digest = 0xCBF29CE484222325ULL;
    const auto word = [&](auto value) { mix(digest, static_cast<std::uint64_t>(value)); };
    word(advice.time_ms);
    word(advice.scan_count);
    for (std::size_t p = 0; p < pump_count; ++p) {
        const core::PumpAdvice& pump = advice.pumps[p];
        word((pump.drive_side_close ? 1U : 0U) | (pump.line_side_close ? 2U : 0U) |
             static_cast<unsigned>(pump.state) << 2U | static_cast<unsigned>(advice.pump_alarms[p]) << 8U);
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
            case core::EventKind::emergency_stop_reset:
                ++outcome.resets;
                break;
            default:
                break;
        }
    }
}

/// An operator who gives orders about alarms, and resets the emergency stop, at random times. The alarms of
/// the orders may be present or not, and some do not exist. The operator has random numbers of their own, so
/// that the storm is the same without them.
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
        core::OperatorInputs order;
        order.acknowledge_all = dice_.one_in(4);
        order.reset_emergency_stop = dice_.one_in(3);
        order.order = kinds[dice_.one_of(kinds.size())];
        const bool of_station = dice_.one_in(2);
        order.pump =
            of_station ? core::no_pump : static_cast<std::uint8_t>(dice_.one_of(core::pumps_max + 1));
        order.alarm = static_cast<std::uint8_t>(
            dice_.one_of((of_station ? core::station_alarm_count : core::pump_alarm_count) + 1));
        order.shelve_ms = static_cast<std::int32_t>(dice_.between_ms(-1, 600'000));
        return order;
    }

  private:
    Dice dice_;
    std::int64_t next_ms_;
};

/// People who press the reset button of the station at random times, and sometimes hold the button for a
/// minute.
class ResetButton {
  public:
    explicit ResetButton(std::uint64_t seed) : dice_(~seed * 3) {}

    bool pressed_at(std::int64_t now_ms) {
        if (now_ms >= change_ms_) {
            pressed_ = !pressed_;
            change_ms_ = now_ms + (pressed_ ? dice_.between_ms(100, 60'000) : dice_.between_ms(100, 400'000));
        }
        return pressed_;
    }

  private:
    Dice dice_;
    bool pressed_ = false;
    std::int64_t change_ms_ = 0;
};

/// The advice that the station followed before its first scan.
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

/// One storm: its station, its controller, and the times of its next events.
class Storm {
  public:
    Storm(const Prototypes& prototypes, std::uint64_t seed, const Options& options)
        : prototype_(*prototypes[station_of(seed)]),
          options_(options),
          dice_(seed),
          station_(prototype_.station),
          controller_(prototype_.controller),
          begin_ms_(station_.now_ms),
          orders_(seed, begin_ms_),
          button_(seed) {
        outcome_.seed = seed;
        constexpr double header_m_per_m3s2 = 3;
        station_.header_m_per_m3s2 = header_m_per_m3s2;
        // Every other station has meters that hold their values for a second, as many real meters do.
        station_.meters_update_ms = seed % 2 == 0 ? 1000 : 0;
        end_ms_ = begin_ms_ + dice_.between_ms(3'600'000, 3 * 3'600'000);
        weather_ = {
            dice_.between(0, 0.6), dice_.between(0.5, 3.5), begin_ms_ + dice_.between_ms(0, 1'200'000),
            begin_ms_ + dice_.between_ms(1'500'000, 2'400'000), end_ms_ - dice_.between_ms(0, 900'000)};
        station_.level_m = dice_.between(0.5, 3.5);
        const Advice earlier = earlier_advice(settings(), dice_);
        constexpr int earlier_scans = 40;
        for (int i = 0; i < earlier_scans; ++i) station_.step(earlier);
        // Some storms are calm, so that sequences end without a failure too.
        quiet_ms_ = dice_.one_in(8) ? 1'500'000 : dice_.between_ms(40'000, 240'000);
        next_fault_ms_ = begin_ms_ + dice_.between_ms(0, quiet_ms_);
        next_weather_ms_ = faults_checked_ms_ = begin_ms_;
    }

    /// Runs to the end, or to the first scan that breaks a law.
    Outcome run() {
        while (station_.now_ms < end_ms_) {
            set_weather();
            const bool fault_due = station_.now_ms >= next_fault_ms_;
            constexpr std::int64_t check_ms = 1'000;
            if (station_.now_ms - faults_checked_ms_ >= check_ms || fault_due) end_faults();
            if (fault_due) begin_fault();
            station_.reset_pressed = button_.pressed_at(station_.now_ms);
            const Advice& advice = scan();
            if (options_.trace) print_events(advice);
            if (!outcome_.broken.empty()) {
                add_time_and_station();
                break;
            }
            station_.step(advice);
            for (; stalled_scans_ > 0; --stalled_scans_) station_.step(advice);
        }
        return outcome_;
    }

  private:
    const Settings& settings() const { return prototype_.judged; }
    double since_begin_s() const { return 1e-3 * static_cast<double>(station_.now_ms - begin_ms_); }

    void set_weather() {
        if (station_.now_ms < next_weather_ms_) return;
        constexpr std::int64_t weather_ms = 5'000;
        next_weather_ms_ = station_.now_ms + weather_ms;
        station_.inflow_m3s = weather_.inflow_m3s(station_.now_ms);
    }

    void end_faults() {
        faults_checked_ms_ = station_.now_ms;
        for (ActiveFault& fault : active_)
            if (fault.kind != Fault::count && station_.now_ms >= fault.until_ms) {
                take_off(station_, fault);
                fault = {};
            }
    }

    void begin_fault() {
        const std::int64_t now_ms = station_.now_ms;
        next_fault_ms_ = now_ms + dice_.between_ms(1, 2 * quiet_ms_);
        const auto kind = static_cast<Fault>(dice_.one_of(static_cast<std::size_t>(Fault::count)));
        const std::int64_t lasts_ms =
            dice_.one_in(3) ? dice_.between_ms(100, 3'000) : dice_.between_ms(3'000, 300'000);
        if (kind == Fault::scan_stalls) {
            stalled_scans_ = static_cast<int>(dice_.between_ms(1, 4'000) / settings().scan_ms);
            return;
        }
        if (kind == Fault::controller_restarts) {
            controller_ = prototype_.controller;
            history_ = {};
            return;
        }
        for (ActiveFault& fault : active_) {
            if (fault.kind != Fault::count) continue;
            fault = {kind, put_on(station_, kind, settings().pump_count, dice_), now_ms + lasts_ms};
            if (options_.trace)
                std::printf("%9.2f s  fault %d at %zu for %.1f s\n", since_begin_s(), static_cast<int>(kind),
                            fault.where, 1e-3 * static_cast<double>(lasts_ms));
            return;
        }
    }

    /// The station's inputs with the operator's orders.
    const Inputs& inputs() {
        const core::OperatorInputs order = orders_.at(station_.now_ms);
        const Inputs& seen = station_.look();
        if (!order.asks()) return seen;
        with_order_ = seen;
        with_order_.people = order;
        return with_order_;
    }

    const Advice& scan() {
        const Inputs& seen = inputs();
        const std::uint64_t before = options_.allocations != nullptr ? options_.allocations() : 0;
        const Advice& advice = controller_.scan(seen);
        if (options_.allocations != nullptr && options_.allocations() != before)
            outcome_.broken.push_back({10, "the scan allocated memory"});
        ++outcome_.scans;
        if (advice.event_count > 0) count_events(outcome_, advice);
        if (options_.judge) laws::judge_scan(settings(), history_, seen, advice, outcome_.broken);
        mix(outcome_.digest, digest_of(advice, settings().pump_count));
        return advice;
    }

    void print_events(const Advice& advice) const {
        for (std::size_t i = 0; i < advice.event_count; ++i) {
            const core::Event& event = advice.events[i];
            std::printf("%9.2f s  event %4u by %4u  pump %d  what %d detail %d why %d  [%g %g %g %g]\n",
                        since_begin_s(), event.number, event.cause_number,
                        event.pump == core::no_pump ? 0 : event.pump + 1, static_cast<int>(event.what),
                        event.detail, static_cast<int>(event.why), event.values[0], event.values[1],
                        event.values[2], event.values[3]);
        }
    }

    void add_time_and_station() {
        std::array<char, 80> line{};
        std::snprintf(line.data(), line.size(), " [after %.1f s, station %zu]", since_begin_s(),
                      station_of(outcome_.seed));
        for (laws::Broken& broken : outcome_.broken) broken.figures += line.data();
    }

    static constexpr std::size_t faults_max = 6;
    const Prototype& prototype_;
    Options options_;
    Dice dice_;
    StationDouble station_;
    core::Controller controller_;
    std::int64_t begin_ms_, end_ms_ = 0;
    AlarmOrders orders_;
    ResetButton button_;
    Weather weather_{};
    laws::History history_;
    Outcome outcome_;
    Inputs with_order_;
    std::array<ActiveFault, faults_max> active_{};
    std::int64_t quiet_ms_ = 0, next_fault_ms_ = 0, next_weather_ms_ = 0, faults_checked_ms_ = 0;
    int stalled_scans_ = 0;
};

}  // namespace

Outcome run_storm(const Prototypes& prototypes, std::uint64_t seed, const Options& options) {
    return Storm(prototypes, seed, options).run();
}

std::string described(const Outcome& outcome) {
    std::string text = "seed " + std::to_string(outcome.seed);
    for (const laws::Broken& broken : outcome.broken)
        text += "\n  law " + std::to_string(broken.law) + ": " + broken.figures;
    return text;
}

}  // namespace freshet::storms
