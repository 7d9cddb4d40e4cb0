// Coupling controller and plant for the campaign; see the header.
#include "tests/property/campaign/coupled.hpp"

#include <bit>
#include <cmath>
#include <deque>
#include <stdexcept>
#include <utility>

#include "hal/modbus/bench_people.hpp"
#include "hal/modbus/field_loop.hpp"
#include "sim_plant/bench/advice_link.hpp"
#include "sim_plant/bench/bench.hpp"
#include "sim_plant/bench/case_files.hpp"
#include "sim_plant/bench/link_condition.hpp"
#include "sim_plant/station/plant.hpp"

namespace freshet::campaign {
namespace {

constexpr double s_per_ms = 1e-3;
constexpr std::int64_t hour_ms = 3'600'000;

void mix(std::uint64_t& digest, std::uint64_t word) {
    digest = (std::rotl(digest, 5) ^ word) * 0x100000001B3ULL;
}

/// The part of the advice that a station or a reader of the journal can see.
void mix(std::uint64_t& digest, const core::Advice& advice, std::size_t pump_count) {
    std::uint64_t bits = (advice.drive_run ? 1U : 0U) | (advice.synchronise ? 2U : 0U) |
                         (advice.output_close ? 4U : 0U) | static_cast<std::uint64_t>(advice.step) << 3U |
                         static_cast<std::uint64_t>(advice.service) << 11U;
    for (std::size_t pump = 0; pump < pump_count; ++pump) {
        const core::PumpAdvice& one = advice.pumps[pump];
        bits |= static_cast<std::uint64_t>((one.drive_side_close ? 1U : 0U) | (one.line_side_close ? 2U : 0U))
                << (16U + 2U * pump);
        bits |= static_cast<std::uint64_t>(one.state) << (32U + 4U * pump);
    }
    mix(digest, bits);
    mix(digest, std::bit_cast<std::uint64_t>(advice.speed_hz));
    mix(digest, advice.station_alarms);
    for (std::size_t i = 0; i < advice.event_count; ++i) {
        const core::Event& event = advice.events[i];
        mix(digest, static_cast<std::uint64_t>(event.number) << 32U | event.cause_number);
        mix(digest, static_cast<std::uint64_t>(event.what) | static_cast<std::uint64_t>(event.detail) << 8U |
                        static_cast<std::uint64_t>(event.pump) << 16U |
                        static_cast<std::uint64_t>(event.why) << 24U);
        for (const double value : event.values) mix(digest, std::bit_cast<std::uint64_t>(value));
    }
}

/// The number of beginnings within a rolling hour.
class HourCount {
  public:
    void note(std::int64_t now_ms) {
        while (!times_ms_.empty() && now_ms - times_ms_.front() >= hour_ms) times_ms_.pop_front();
        times_ms_.push_back(now_ms);
        if (static_cast<int>(times_ms_.size()) > most_) most_ = static_cast<int>(times_ms_.size());
    }
    int most() const { return most_; }

  private:
    std::deque<std::int64_t> times_ms_;
    int most_ = 0;
};

bool fed_in_the_dry(const plant::Plant& plant, double suction_level_m, std::size_t pump_count) {
    if (plant.water().level_m >= suction_level_m) return false;
    for (std::size_t pump = 0; pump < pump_count; ++pump)
        if (plant.electrical().motors[pump].mode >= plant::MotorMode::on_drive) return true;
    return false;
}

}  // namespace

Base load_base(const std::string& name) {
    const std::string path = std::string{FRESHET_SOURCE_DIR} + "/config/scenarios/" + name + ".toml";
    auto files = bench::load_case(path);
    if (!files) throw std::runtime_error(files.error());
    core::Controller controller{files->station.settings};
    return {std::move(files->scenario), std::move(files->station), std::move(files->plan), controller};
}

Outcome run(const Base& base, const config::Scenario& scenario, const Watch& watch) {
    const core::Settings& settings = base.station.settings;
    const config::Station& station = base.station.station;
    const bool has_well = station.duty == config::Duty::empty_well;
    plant::Plant plant{station, scenario, settings.scan_ms};
    core::Controller controller = base.controller;
    modbus::FieldLoop field{base.plan};
    modbus::BenchPeople people;
    bench::AdviceLink link{station.pump_count, settings.scan_ms};
    laws::History history;
    HourCount transfers;
    std::array<HourCount, core::pumps_max> starts;
    Outcome outcome;
    const auto scans = static_cast<std::int64_t>(scenario.duration_s / s_per_ms) / settings.scan_ms;
    for (; outcome.scans < scans; ++outcome.scans) {
        const std::int64_t now_ms = plant.time_ms();
        const core::Inputs& inputs =
            people.attend(field.pass(plant.readings(), now_ms, bench::condition_of(plant.link(), now_ms),
                                     plant.only_clock()),
                          plant.people());
        const core::Advice& advice = controller.scan(inputs);
        if (watch.laws && outcome.broken.empty()) {
            laws::judge_scan(settings, history, inputs, advice, outcome.broken);
            if (!outcome.broken.empty())
                outcome.broken_s = s_per_ms * static_cast<double>(now_ms - scenario.start_ms);
        }
        if (watch.digest) mix(outcome.digest, advice, station.pump_count);
        for (std::size_t i = 0; i < advice.event_count; ++i) {
            const core::Event& event = advice.events[i];
            if (event.what != core::EventKind::sequence_begun) continue;
            const auto sequence = static_cast<core::Sequence>(event.detail);
            if (sequence == core::Sequence::hand_over || sequence == core::Sequence::take_back)
                transfers.note(now_ms);
            if (sequence == core::Sequence::start_on_drive || sequence == core::Sequence::line_start)
                starts[event.pump].note(now_ms);
        }
        plant.step(link.pass(advice));
        if (has_well && fed_in_the_dry(plant, station.well.suction_level_m, station.pump_count))
            outcome.suction_dry_s += s_per_ms * settings.scan_ms;
    }
    outcome.transfers_per_hour_max = transfers.most();
    for (const HourCount& one : starts)
        if (one.most() > outcome.starts_per_hour_max) outcome.starts_per_hour_max = one.most();
    outcome.summary = bench::summary_of(plant, scenario.start_ms, station.pump_count);
    for (const double figure : {outcome.summary.level_max_m, outcome.summary.pumped_m3,
                                outcome.summary.overflow_m3, outcome.summary.energy_kwh})
        mix(outcome.digest, std::bit_cast<std::uint64_t>(figure));
    outcome.level_at_end_m = plant.water().level_m;
    return outcome;
}

}  // namespace freshet::campaign
