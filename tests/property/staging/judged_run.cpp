// Runs and judges; see the header.
#include "tests/property/staging/judged_run.hpp"

#include <algorithm>
#include <deque>
#include <ostream>
#include <utility>

#include "tests/property/staging/coupled.hpp"
#include "tests/property/staging/ideal_operators.hpp"
#include "tests/property/staging/seconds.hpp"

namespace freshet::staging_campaign {
namespace {

constexpr double volume_share = 0.01;  // of the active volume: the overflow that every operator is allowed

std::int64_t scans_in(const RandomStation& station, double time_s) {
    return static_cast<std::int64_t>(time_s / s_per_ms) / station.settings.scan_ms;
}

/// The largest inflow of the last half minute: the longest delay that an estimate may have.
class RecentInflow {
  public:
    void add(std::int64_t now_ms, double inflow_m3s) {
        constexpr std::int64_t delay_ms = 30'000;
        while (!inflows_.empty() && inflows_.back().second <= inflow_m3s) inflows_.pop_back();
        inflows_.emplace_back(now_ms, inflow_m3s);
        while (inflows_.front().first < now_ms - delay_ms) inflows_.pop_front();
    }
    double largest_m3s() const { return inflows_.front().second; }

  private:
    std::deque<std::pair<std::int64_t, double>> inflows_;  ///< falling
};

/// Counts how often the level falls below the cut-off with a pump on, unless the level fell there from the
/// stop mark in less time than a stop takes.
class CutoffWatch {
  public:
    explicit CutoffWatch(const RandomStation& station)
        : marks_(station.settings.marks), stop_ms_(stop_takes_s(station) / s_per_ms) {}
    void see(std::int64_t now_ms, double level_m, bool pump_on) {
        if (level_m >= marks_.stop_m) {
            above_ms_ = now_ms;
            counted_ = false;
        }
        if (counted_ || level_m >= marks_.low_cutoff_m || !pump_on) return;
        counted_ = true;
        if (static_cast<double>(now_ms - above_ms_) >= stop_ms_) ++count_;
    }
    int count() const { return count_; }

  private:
    const core::Settings::Marks& marks_;
    double stop_ms_;
    std::int64_t above_ms_ = 0;
    bool counted_ = false;
    int count_ = 0;
};

/// Finds the spills of a run.
class SpillWatch {
  public:
    explicit SpillWatch(const RandomStation& station)
        : station_(station), pause_scans_(scans_in(station, 60)) {}
    /// The state before the scan.
    void see(std::int64_t scan, const plant::Plant& plant) {
        const plant::HydraulicState& water = plant.water();
        const std::size_t running = pumps_running(plant, station_.given.pump_count);
        const double inflow_m3s = plant.inflow_m3s();
        const bool drive_pump_off = std::ranges::none_of(plant.electrical().motors, [](const auto& motor) {
            return motor.mode == plant::MotorMode::on_drive;
        });
        const bool carried =
            inflow_m3s <= station_.capacity.full_m3s(running, water.level_m) ||
            (drive_pump_off && station_.capacity.in_band(running, inflow_m3s, water.level_m));
        if (carried) carried_scan_ = scan;
        if (carried && water.level_m <= station_.settings.marks.stage_up_m) early_scan_ = scan;
        if (water.overflow_m3s <= 0) return;
        if (spills_.empty() || scan - spills_.back().ends_scan > pause_scans_) {
            spills_.emplace_back();
            spills_.back().begins_scan = scan;
            spills_.back().late.set_down_scan = carried_scan_;
            spills_.back().early.set_down_scan = early_scan_;
            overflow_before_m3_ = overflow_m3_;
        }
        overflow_m3_ = water.overflow_m3;
        spills_.back().ends_scan = scan + 1;
        spills_.back().overflow_m3 = overflow_m3_ - overflow_before_m3_;
    }
    std::vector<Spill> spills() const { return spills_; }

  private:
    const RandomStation& station_;
    std::int64_t pause_scans_, carried_scan_ = 0, early_scan_ = 0;
    double overflow_m3_ = 0, overflow_before_m3_ = 0;
    std::vector<Spill> spills_;
};

/// A hand-over that begins while the level falls and the inflow has been well below what runs for half a
/// minute.
bool is_needless(const RandomStation& station, const plant::Plant& plant, std::size_t running,
                 const RecentInflow& inflow) {
    constexpr double well_below = 0.95;
    const plant::HydraulicState& water = plant.water();
    const bool falls = plant.inflow_m3s() < water.main_flow_m3s + water.overflow_m3s;
    return falls && inflow.largest_m3s() < well_below * station.capacity.full_m3s(running, water.level_m);
}

/// Repeats the run up to the set-down, and lets the prompt operator continue from there.
void compare_with_prompt(const RandomStation& station, const config::Scenario& scenario,
                         std::int64_t ends_scan, Comparison& comparison) {
    Coupled coupled{station, scenario};
    for (std::int64_t scan = 0; scan < comparison.set_down_scan; ++scan) coupled.scan();
    const double crest_m = station.given.well.overflow_level_m;
    const std::size_t pump_count = station.given.pump_count;
    plant::Plant& plant = coupled.plant();
    PromptOperator prompt{station, coupled.orders()};
    const double overflow_before_m3 = plant.water().overflow_m3;
    const std::size_t before = pumps_running(plant, pump_count);
    std::size_t reached = before;
    for (std::int64_t scan = comparison.set_down_scan; scan < ends_scan; ++scan) {
        plant.step(prompt.decide(plant));
        reached = std::max(reached, pumps_running(plant, pump_count));
    }
    comparison.prompt_m3 = plant.water().overflow_m3 - overflow_before_m3;
    comparison.capacity_before_m3s = station.capacity.full_m3s(before, crest_m);
    comparison.capacity_reached_m3s = station.capacity.full_m3s(reached, crest_m);
    constexpr double factor = 1.05, delay_s = 7;
    comparison.allowed_m3 += factor * comparison.prompt_m3 +
                             delay_s * (comparison.capacity_reached_m3s - comparison.capacity_before_m3s);
}

/// Compares a spill with the prompt operator, set down late and early.
void judge(const RandomStation& station, const config::Scenario& scenario, Spill& spill) {
    spill.late.allowed_m3 = spill.early.allowed_m3 = volume_share * station.volume_m3;
    // A smaller spill is allowed to every operator, and needs no comparison.
    if (spill.overflow_m3 <= spill.late.allowed_m3) return;
    compare_with_prompt(station, scenario, spill.ends_scan, spill.late);
    if (spill.early.set_down_scan == spill.late.set_down_scan)
        spill.early = spill.late;
    else
        compare_with_prompt(station, scenario, spill.ends_scan, spill.early);
}

}  // namespace

double stop_takes_s(const RandomStation& station) {
    constexpr double scans = 6;  // the reading, the start of the stop, and the confirmations
    return station.given.supply.frequency_hz / station.given.drive.ramp_down_hz_s +
           scans * station.settings.scan_ms * s_per_ms;
}

Figures judged_run(const RandomStation& station, const config::Scenario& scenario, std::ostream* trace) {
    Coupled coupled{station, scenario, trace};
    const plant::Plant& plant = coupled.plant();
    SpillWatch spills{station};
    CutoffWatch cutoff{station};
    RecentInflow inflow;
    Figures figures;
    const std::int64_t scans = scans_in(station, scenario.duration_s);
    for (std::int64_t scan = 0; scan < scans; ++scan) {
        const std::size_t running = pumps_running(plant, station.given.pump_count);
        spills.see(scan, plant);
        cutoff.see(plant.time_ms(), plant.water().level_m, running > 0);
        inflow.add(plant.time_ms(), plant.inflow_m3s());
        const core::Advice& advice = coupled.scan();
        for (std::size_t i = 0; i < advice.event_count; ++i) {
            const core::Event& event = advice.events[i];
            if (event.what == core::EventKind::sequence_begun &&
                static_cast<core::Sequence>(event.detail) == core::Sequence::hand_over &&
                is_needless(station, plant, running, inflow)) {
                ++figures.needless_hand_overs;
                if (trace != nullptr)
                    *trace << "NEEDLESS hand-over: largest inflow of half a minute " << inflow.largest_m3s()
                           << " m3/s, running pumps carry "
                           << station.capacity.full_m3s(running, plant.water().level_m) << " m3/s\n";
            }
        }
    }
    const plant::Figures known = plant.figures();
    figures.overflow_m3 = plant.water().overflow_m3;
    figures.dry_s = plant.water_figures().suction_dry_s;
    figures.low_cutoffs = cutoff.count();
    figures.hand_overs = static_cast<int>(known.hand_overs);
    figures.take_backs = static_cast<int>(known.take_backs);
    for (const std::uint32_t starts : known.starts) figures.starts += static_cast<int>(starts);
    figures.level_max_m = known.level_max_m;
    figures.level_min_m = known.level_min_m;
    figures.spills = spills.spills();
    for (Spill& spill : figures.spills) {
        judge(station, scenario, spill);
        figures.prompt_m3 += spill.late.prompt_m3;
        figures.allowed_m3 += spill.late.allowed_m3;
        figures.excess_m3 += std::max(0.0, spill.overflow_m3 - spill.late.allowed_m3);
        figures.early_prompt_m3 += spill.early.prompt_m3;
        figures.early_excess_m3 += std::max(0.0, spill.overflow_m3 - spill.early.allowed_m3);
    }
    return figures;
}

}  // namespace freshet::staging_campaign
