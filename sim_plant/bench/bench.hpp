// The bench: controller and simulated station in one process, every signal through the registers it would
// take at a site. One reason to change: how the two are coupled.
//
// A scan in one process is what a scan in lockstep over Modbus is: the station's readings of an instant are
// encoded by the field map, the poll groups that are due are read and decoded, the controller scans, its
// advice is encoded and decoded by the advice map, and the station takes one step under the orders read. The
// journals of both are therefore the same, byte for byte.
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
#include "hal/modbus/field_loop.hpp"
#include "sim_plant/bench/advice_link.hpp"
#include "sim_plant/bench/link_condition.hpp"
#include "sim_plant/station/plant.hpp"

namespace freshet::bench {

/// What the station itself knows of a run that began at `start_ms`: figures, volumes, energy and closings.
record::RunSummary summary_of(const plant::Plant& plant, std::int64_t start_ms, std::uint8_t pump_count);

class Bench {
  public:
    /// Descriptions that have passed the loader. The scan period is the settings'. Throws
    /// std::invalid_argument where a fault names what the station does not have.
    Bench(const config::Station& station, const core::Settings& settings, const config::Scenario& scenario,
          const modbus::FieldPlan& plan);

    /// One scan of the controller on what the station says at its present time. Valid until the next one.
    const core::Advice& decide() {
        const core::Advice& advice =
            controller_.scan(field_.pass(plant_.readings(), plant_.time_ms(),
                                         condition_of(plant_.link(), plant_.time_ms()), plant_.only_clock()));
        if (advice.event_count != 0) {
            alarms_.add(advice);
            quality_.add(advice);
        }
        ++scans_;
        return advice;
    }
    /// One step of the station under that advice.
    void act(const core::Advice& advice) { plant_.step(advice_link_.pass(advice)); }

    plant::Plant& plant() { return plant_; }
    const plant::Plant& plant() const { return plant_; }
    const core::Controller& controller() const { return controller_; }
    std::uint64_t scans() const { return scans_; }

    /// The figures so far. `wall_s` is the caller's.
    record::RunSummary summary() const;

  private:
    std::string scenario_, station_;
    std::uint8_t pump_count_;
    std::int64_t start_ms_;
    plant::Plant plant_;
    core::Controller controller_;
    modbus::FieldLoop field_;
    AdviceLink advice_link_;
    std::uint64_t scans_ = 0;
    record::AlarmFigures alarms_;
    record::QualityFigures quality_;
};

/// The columns of a trend row that only the station knows.
void set_from_plant(record::TrendRow& row, const plant::Plant& plant, std::uint8_t pump_count);

struct RunOptions {
    double duration_s = 0;                      ///< 0: the scenario's
    record::RunRecord* record = nullptr;        ///< null: nothing is recorded
    std::function<void(double done)> progress;  ///< called about a hundred times with the share done, 0 to 1
    const std::atomic<bool>* stop =
        nullptr;  ///< looked at as often; a run that was stopped is summed up as it stands
};

/// Runs a scenario as fast as it goes. `wall_s` of the summary is the only figure that may differ between two
/// runs.
record::RunSummary run(const config::Station& station, const core::Settings& settings,
                       const config::Scenario& scenario, const modbus::FieldPlan& plan,
                       const RunOptions& options);

}  // namespace freshet::bench
