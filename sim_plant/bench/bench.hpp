// The bench: controller and simulated station in one process. Every signal passes through the registers, as
// at a site. One reason to change: the coupling of controller and station.
//
// A scan in one process has the same parts as a scan in lockstep over Modbus. The field map encodes the
// station's readings of an instant. The poll groups that are due are read and decoded. The controller scans.
// The advice map encodes and decodes the advice. The station takes a step under these orders. Therefore both
// journals are the same, byte for byte.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "config/scenario.hpp"
#include "config/station.hpp"
#include "controller/core/controller.hpp"
#include "controller/record/alarm_figures.hpp"
#include "controller/record/quality_figures.hpp"
#include "controller/record/run_record.hpp"
#include "controller/record/run_summary.hpp"
#include "controller/record/trend_row.hpp"
#include "hal/modbus/bench_people.hpp"
#include "hal/modbus/field_loop.hpp"
#include "sim_plant/bench/advice_link.hpp"
#include "sim_plant/bench/link_condition.hpp"
#include "sim_plant/station/plant.hpp"

namespace freshet::bench {

/// The figures of a run that only the station knows: volumes, energy and closings. The run began at
/// `start_ms`.
record::RunSummary summary_of(const plant::Plant& plant, std::int64_t start_ms, std::uint8_t pump_count);

class Bench {
  public:
    /// Expects descriptions from the loader. The settings give the scan period. Throws std::invalid_argument
    /// when a fault names a device that the station does not have.
    Bench(const config::Station& station, const core::Settings& settings, const config::Scenario& scenario,
          const modbus::FieldPlan& plan);

    /// One scan of the controller with the station's readings of the present time. The advice is valid until
    /// the next scan.
    const core::Advice& decide() {
        const core::Advice& advice = controller_.scan(
            people_.attend(field_.pass(plant_.readings(), plant_.time_ms(),
                                       condition_of(plant_.link(), plant_.time_ms()), plant_.only_clock()),
                           plant_.people()));
        if (advice.event_count != 0) {
            alarms_.add(advice);
            quality_.add(advice);
        }
        ++scans_;
        return advice;
    }
    /// One step of the station under this advice.
    void act(const core::Advice& advice) { plant_.step(advice_link_.pass(advice)); }

    plant::Plant& plant() { return plant_; }
    const plant::Plant& plant() const { return plant_; }
    const core::Controller& controller() const { return controller_; }
    std::uint64_t scans() const { return scans_; }

    /// The figures so far. The caller fills `wall_s`.
    record::RunSummary summary() const;

  private:
    std::string scenario_, station_;
    std::uint8_t pump_count_;
    std::int64_t start_ms_;
    plant::Plant plant_;
    core::Controller controller_;
    modbus::FieldLoop field_;
    modbus::BenchPeople people_;
    AdviceLink advice_link_;
    std::uint64_t scans_ = 0;
    record::AlarmFigures alarms_;
    record::QualityFigures quality_;
};

/// Fills the columns of a trend row that only the station knows.
void set_from_plant(record::TrendRow& row, const plant::Plant& plant, std::uint8_t pump_count);

struct RunOptions {
    double duration_s = 0;                ///< 0: as long as the scenario
    record::RunRecord* record = nullptr;  ///< null: no record
    /// Called about a hundred times with the finished share, 0 to 1.
    std::function<void(double done)> progress;
    /// Read as often as `progress` is called; the summary of a stopped run ends with the last step.
    const std::atomic<bool>* stop = nullptr;
};

/// Runs a scenario as fast as possible. Only `wall_s` of the summary may differ between two runs.
record::RunSummary run(const config::Station& station, const core::Settings& settings,
                       const config::Scenario& scenario, const modbus::FieldPlan& plan,
                       const RunOptions& options);

}  // namespace freshet::bench
