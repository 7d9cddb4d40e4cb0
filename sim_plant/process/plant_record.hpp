// The plant's record of a run: true values and the advice that the plant followed.
// One reason to change: the values that the plant knows of a run.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>

#include "config/loader/load.hpp"
#include "controller/record/run_record.hpp"
#include "hal/modbus/advice_decoder.hpp"
#include "sim_plant/bench/fault_watch.hpp"
#include "sim_plant/process/fault_orders.hpp"
#include "sim_plant/station/plant.hpp"

namespace freshet::plant_process {

class PlantRecord {
  public:
    /// Records nothing when the folder name is empty. Errors are sentences for a terminal.
    static tl::expected<PlantRecord, std::string> open(const std::string& folder,
                                                       const config::Scenario& scenario,
                                                       const config::StationFile& station);

    /// Call after the instructor's orders of this instant.
    void ordered(const plant::Plant& plant, std::span<const Obeyed> orders);
    /// Records faults that began or ended in the last step. Call before the instructor's orders.
    void look_at_faults(const plant::Plant& plant) {
        if (record_) faults_.record_changes(plant, *record_);
    }
    /// Call before each step with the advice that the step will follow.
    void stepping(const plant::Plant& plant, const modbus::AdviceRead& read);
    /// Writes summary and report. Gives the first failure.
    std::optional<std::string> close(const record::RunSummary& summary);

  private:
    std::optional<record::RunRecord> record_;
    bench::FaultWatch faults_;
    core::Advice scan_;  ///< the advice for the record, without events, which the plant does not know
    std::uint8_t pump_count_ = 0;
};

}  // namespace freshet::plant_process
