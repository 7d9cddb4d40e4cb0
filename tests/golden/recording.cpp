// Runs the cases and makes the digests; see the header.
#include "tests/golden/recording.hpp"

#include <algorithm>
#include <filesystem>
#include <map>
#include <string_view>

#include "controller/record/journal_writer.hpp"
#include "controller/words/sentences.hpp"
#include "hal/modbus/bench_people.hpp"
#include "hal/modbus/field_loop.hpp"
#include "sim_plant/bench/advice_link.hpp"
#include "sim_plant/bench/link_condition.hpp"
#include "sim_plant/station/plant.hpp"
#include "tests/golden/advice_digest.hpp"
#include "tests/property/campaign/random_storm.hpp"

namespace freshet::golden {

namespace {

constexpr double ms_per_s = 1000;

std::uint16_t folded(std::uint64_t digest) {
    return static_cast<std::uint16_t>(digest ^ digest >> 16U ^ digest >> 32U ^ digest >> 48U);
}
std::uint32_t halved(std::uint64_t digest) {
    return static_cast<std::uint32_t>(digest ^ digest >> 32U);
}

std::uint16_t digest_of_words(const core::Event& event, std::int64_t time_ms, std::string& line) {
    line.clear();
    record::append_journal_line(line, time_ms, event);
    line += words::sentence(event);
    std::uint64_t digest = 0;
    for (const char letter : line) mix(digest, static_cast<unsigned char>(letter));
    return folded(digest);
}

const campaign::Base& base_named(const std::string& name) {
    static std::map<std::string, campaign::Base> loaded;
    const auto found = loaded.find(name);
    return found != loaded.end() ? found->second
                                 : loaded.emplace(name, campaign::load_base(name)).first->second;
}

/// Appends the demand or the inflow of a storm to the series of the earlier storms.
void append_series(std::vector<config::SeriesPoint>& all, const std::vector<config::SeriesPoint>& next,
                   double begins_s) {
    for (config::SeriesPoint point : next) {
        point.t_s += begins_s;
        if (all.empty() || point.t_s > all.back().t_s) all.push_back(point);
    }
}

}  // namespace

const std::vector<Case>& shipped_cases() {
    static const std::vector<Case> cases = [] {
        std::vector<std::string> names;
        const std::string folder = std::string{FRESHET_SOURCE_DIR} + "/config/scenarios";
        for (const auto& entry : std::filesystem::directory_iterator(folder))
            names.push_back(entry.path().stem().string());
        std::sort(names.begin(), names.end());
        std::vector<Case> all;
        for (const std::string& name : names) {
            const campaign::Base& base = base_named(name);
            all.push_back({name, &base, base.scenario});
        }
        return all;
    }();
    return cases;
}

Case storm_case(std::uint64_t seed) {
    constexpr std::array<const char*, 4> stations{"cloudburst", "cloudburst", "tank_day", "booster_day"};
    constexpr std::uint64_t storms = 3;
    const campaign::Base& base = base_named(stations[seed % stations.size()]);
    config::Scenario hour = campaign::random_storm(base, storms * seed);
    const double storm_s = hour.duration_s;
    const auto end_with = [](config::Scenario& scenario, double end_s) {
        for (config::Fault& fault : scenario.faults)
            if (fault.lasts_s <= 0) fault.lasts_s = end_s - fault.begins_s;
    };
    for (std::uint64_t i = 1; i < storms; ++i) {
        const double begins_s = storm_s * static_cast<double>(i);
        config::Scenario next = campaign::random_storm(base, storms * seed + i);
        end_with(hour, begins_s);
        append_series(hour.weather.measured_inflow_m3s, next.weather.measured_inflow_m3s, begins_s);
        append_series(hour.demand_m3s, next.demand_m3s, begins_s);
        for (config::Fault& fault : next.faults) {
            fault.begins_s += begins_s;
            hour.faults.push_back(fault);
        }
    }
    hour.duration_s = storm_s * static_cast<double>(storms);
    campaign::add_resets(hour);
    std::string number = std::to_string(seed);
    number.insert(0, 3 - std::min<std::size_t>(number.size(), 3), '0');
    return {"storm_" + number, &base, hour};
}

Recording record(const Case& which, const Listener& listener) {
    const campaign::Base& base = *which.base;
    const core::Settings& settings = base.station.settings;
    plant::Plant plant{base.station.station, which.scenario, settings.scan_ms};
    core::Controller controller = base.controller;
    modbus::FieldLoop field{base.plan};
    modbus::BenchPeople people;
    bench::AdviceLink link{base.station.station.pump_count, settings.scan_ms};
    Recording recording;
    recording.name = which.name;
    recording.scans = static_cast<std::int64_t>(which.scenario.duration_s * ms_per_s) / settings.scan_ms;
    std::string line;
    std::uint64_t digest = 0;
    for (std::int64_t scan = 0; scan < recording.scans; ++scan) {
        const std::int64_t now_ms = plant.time_ms();
        const core::Inputs& read = field.pass(plant.readings(), now_ms,
                                              bench::condition_of(plant.link(), now_ms), plant.only_clock());
        const core::Advice& advice = controller.scan(people.attend(read, plant.people()));
        mix_advice(digest, advice);
        for (std::size_t i = 0; i < advice.event_count; ++i) {
            const core::Event& event = advice.events[i];
            recording.events.push_back(folded(digest_of_event(event, advice.time_ms)));
            recording.words.push_back(digest_of_words(event, advice.time_ms, line));
            if (listener) listener(advice, event);
        }
        plant.step(link.pass(advice));
        const auto part = static_cast<std::size_t>(scan * static_cast<std::int64_t>(parts) / recording.scans);
        recording.advice[part] = halved(digest);
    }
    return recording;
}

}  // namespace freshet::golden
