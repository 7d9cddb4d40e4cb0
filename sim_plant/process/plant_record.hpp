// The record of a run as the plant sees it: true values beside the advice it followed.
// One reason to change: what the plant can tell of a run.
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
    /// An empty folder name records nothing. Errors in words for a terminal.
    static tl::expected<PlantRecord, std::string> open(const std::string& folder,
                                                       const config::Scenario& scenario,
                                                       const config::StationFile& station);

    /// After an instructor's lines were carried out at this instant.
    void ordered(const plant::Plant& plant, std::span<const Obeyed> orders);
    /// Faults that came or went with the last step; before the instructor may change any.
    void look_at_faults(const plant::Plant& plant) {
        if (record_) faults_.look(plant, *record_);
    }
    /// Before each step, with the advice that will be followed.
    void stepping(const plant::Plant& plant, const modbus::AdviceRead& read);
    /// Writes summary and report; says the first failure.
    std::optional<std::string> close(const record::RunSummary& summary);

  private:
    std::optional<record::RunRecord> record_;
    bench::FaultWatch faults_;
    core::Advice scan_;  ///< what the record must be told of each scan; the plant knows no events
    std::uint8_t pump_count_ = 0;
};

}  // namespace freshet::plant_process
