// Records a tape on the host, for the microcontroller to repeat. The tape contains the inputs of each scan of
// the bench and a digest of the host's advice. One reason to change: the recorded hours.
//
//     tape_maker FILE
#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <exception>
#include <fstream>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

#include "hal/modbus/field_loop.hpp"
#include "sim_plant/bench/advice_link.hpp"
#include "sim_plant/bench/link_condition.hpp"
#include "sim_plant/station/plant.hpp"
#include "tests/microcontroller/square_root.hpp"
#include "tests/microcontroller/tape.hpp"
#include "tests/property/campaign/coupled.hpp"
#include "tests/property/campaign/random_storm.hpp"

namespace freshet::microcontroller {
namespace {

constexpr double hour_s = 3600;
constexpr std::int64_t ms_per_s = 1000;
constexpr double acknowledged_every_s = 300;  // an operator acknowledges every alarm

/// A part of the tape. A new controller takes over the station after `skipped_s`, and the recording begins.
struct Part {
    std::string name;
    config::Scenario scenario;
    double skipped_s = 0, recorded_s = 0;
};

using Seeds = std::array<std::uint64_t, 3>;

/// Three random storms of twenty minutes, one after another. Each fault ends with its storm at the latest.
config::Scenario hour_of_storms(const campaign::Base& base, const Seeds& seeds) {
    constexpr double storm_s = hour_s / 3;
    config::Scenario hour = campaign::random_storm(base, seeds[0]);
    std::vector<config::SeriesPoint> inflow, demand;
    std::vector<config::Fault> faults;
    for (std::size_t i = 0; i < seeds.size(); ++i) {
        const double begins_s = storm_s * static_cast<double>(i);
        const config::Scenario storm = campaign::random_storm(base, seeds[i]);
        const auto append = [begins_s](auto& all, const auto& series) {
            for (const config::SeriesPoint& point : series)
                if (point.t_s < storm_s) all.push_back({begins_s + point.t_s, point.value});
        };
        append(inflow, storm.weather.measured_inflow_m3s);
        append(demand, storm.demand_m3s);
        for (config::Fault fault : storm.faults) {
            const double left_s = storm_s - fault.begins_s;
            fault.lasts_s = fault.lasts_s > 0 ? std::min(fault.lasts_s, left_s) : left_s;
            fault.begins_s += begins_s;
            faults.push_back(fault);
        }
    }
    hour.weather.measured_inflow_m3s = inflow;
    hour.demand_m3s = demand;
    hour.faults = faults;
    hour.duration_s = hour_s;
    return hour;
}

class Tape {
  public:
    explicit Tape(const std::string& file) : file_(file, std::ios::binary) {
        if (!file_) throw std::runtime_error(file + " cannot be written");
    }

    void begin(const std::string& name, const core::Settings& settings) {
        put(static_cast<std::uint8_t>(Record::part));
        put_number(put, name.size());
        for (const char letter : name) put(static_cast<std::uint8_t>(letter));
        put_changes(put, Words{}, words_of(settings));
        before_ = {};
    }
    void scan(const core::Inputs& inputs, const core::Advice& advice) {
        put(static_cast<std::uint8_t>(Record::scan));
        const Words now = words_of(inputs);
        put_changes(put, before_, now);
        before_ = now;
        put_digest(put, digest_of(advice));
    }
    void end() {
        put(static_cast<std::uint8_t>(Record::end));
        file_.close();
        if (!file_) throw std::runtime_error("the tape could not be written");
    }
    std::size_t bytes() const { return bytes_; }

  private:
    template <class Fields>
    static Words words_of(const Fields& fields) {
        Words words;
        Gather gather{words};
        fields_of(gather, fields);
        return words;
    }

    std::ofstream file_;
    std::size_t bytes_ = 0;
    Words before_;
    struct Put {
        Tape& tape;
        void operator()(std::uint8_t byte) const {
            tape.file_.put(static_cast<char>(byte));
            ++tape.bytes_;
        }
    } put{*this};
};

/// Numbers of events in a part. They show how much the microcontroller repeats.
struct Content {
    int scans = 0, starts = 0, hand_overs = 0, take_backs = 0, withdrawn = 0, protective_stops = 0,
        alarms = 0;
    void add(const core::Advice& advice) {
        ++scans;
        for (std::size_t i = 0; i < advice.event_count; ++i) {
            const core::Event& event = advice.events[i];
            const auto sequence = static_cast<core::Sequence>(event.detail);
            const bool begun = event.what == core::EventKind::sequence_begun;
            starts += begun &&
                      (sequence == core::Sequence::start_on_drive || sequence == core::Sequence::line_start);
            hand_overs += begun && sequence == core::Sequence::hand_over;
            take_backs += begun && sequence == core::Sequence::take_back;
            withdrawn += event.what == core::EventKind::sequence_withdrawn;
            protective_stops += event.what == core::EventKind::protective_stop;
            alarms += event.what == core::EventKind::alarm_raised;
        }
    }
};

void record(Tape& tape, const campaign::Base& base, const Part& part) {
    const core::Settings& settings = base.station.settings;
    const std::size_t bytes_before = tape.bytes();
    plant::Plant plant{base.station.station, part.scenario, settings.scan_ms};
    modbus::FieldLoop field{base.plan};
    bench::AdviceLink link{base.station.station.pump_count, settings.scan_ms};
    core::Controller earlier = base.controller, recorded = base.controller;
    const auto scans_in = [&settings](double s) {
        return static_cast<std::int64_t>(s) * ms_per_s / settings.scan_ms;
    };
    const std::int64_t skipped = scans_in(part.skipped_s);
    const std::int64_t scans = skipped + scans_in(part.recorded_s);
    Content content;
    tape.begin(part.name, settings);
    for (std::int64_t scan = 0; scan < scans; ++scan) {
        const std::int64_t now_ms = plant.time_ms();
        core::Inputs inputs = field.pass(plant.readings(), now_ms, bench::condition_of(plant.link(), now_ms),
                                         plant.only_clock());
        inputs.people.acknowledge_all = scan % scans_in(acknowledged_every_s) == 0;
        inputs.people.reset_emergency_stop = inputs.people.acknowledge_all;
        const core::Advice& advice = (scan < skipped ? earlier : recorded).scan(inputs);
        if (scan >= skipped) {
            tape.scan(inputs, advice);
            content.add(advice);
        }
        plant.step(link.pass(advice));
    }
    std::printf(
        "%s: %d scans, %zu faults, %d starts, %d hand-overs, %d take-backs, %d sequences withdrawn, "
        "%d protective stops, %d alarms, %zu bytes\n",
        part.name.c_str(), content.scans, part.scenario.faults.size(), content.starts, content.hand_overs,
        content.take_backs, content.withdrawn, content.protective_stops, content.alarms,
        tape.bytes() - bytes_before);
}

/// Compares the square root of the microcontroller with the host's square root, for doubles of every kind.
void check_square_root() {
    constexpr int draws = 1'000'000;
    std::mt19937_64 random(1);
    std::vector<double> values{0.0, -0.0, 1.0, 2.0, 4.0, 0x1p-1074, 0x1.fffffffffffffp1023, INFINITY};
    for (int i = 0; i < draws; ++i) values.push_back(std::bit_cast<double>(random() >> 1U));
    for (int i = 0; i < draws; ++i) values.push_back(std::ldexp(static_cast<double>(random()), -50));
    for (const double value : values) {
        const double own = square_root(value);
        const double host = std::sqrt(value);
        if (std::isnan(own) ? !std::isnan(host)
                            : std::bit_cast<std::uint64_t>(own) != std::bit_cast<std::uint64_t>(host))
            throw std::runtime_error("the square root of " + std::to_string(value) + " is wrong");
    }
}

void make(const std::string& file) {
    check_square_root();
    Tape tape{file};
    const campaign::Base design = campaign::load_base("design_storm");
    record(tape, design, {"an hour of the design storm", design.scenario, 12 * hour_s, hour_s});
    // These seeds have storms with three or four faults each and with many events.
    const auto hour_of_faults = [&tape](const char* base, const char* place, const Seeds& seeds) {
        const campaign::Base one = campaign::load_base(base);
        record(tape, one,
               {std::string("an hour of faults at a ") + place, hour_of_storms(one, seeds), 0, hour_s});
    };
    hour_of_faults("cloudburst", "well", {32, 39, 14});
    hour_of_faults("tank_day", "tank", {38, 37, 14});
    hour_of_faults("booster_day", "booster", {37, 13, 32});
    tape.end();
}

}  // namespace
}  // namespace freshet::microcontroller

int main(int count, char** words) {
    if (count != 2) {
        std::fputs("usage: tape_maker FILE\n", stderr);
        return 2;
    }
    try {
        freshet::microcontroller::make(words[1]);
    } catch (const std::exception& failure) {
        std::fprintf(stderr, "tape_maker: %s\n", failure.what());
        return 3;
    }
    return 0;
}
