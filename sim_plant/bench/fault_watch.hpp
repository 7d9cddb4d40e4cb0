// Records which faults of the simulated station began and ended.
// One reason to change: the instants at which faults are recorded.
#pragma once

#include <cstdint>
#include <vector>

#include "controller/record/run_record.hpp"
#include "sim_plant/station/plant.hpp"

namespace freshet::bench {

class FaultWatch {
  public:
    /// Call before each step, for changes that the scenario caused since the last comparison. Costs one
    /// comparison while nothing has changed.
    void record_changes(const plant::Plant& plant, record::RunRecord& record) {
        if (plant.fault_changes() != seen_) record_differences(plant, record);
    }
    /// Call for changes that an instructor caused since the last comparison. These changes are recorded
    /// already.
    void skip_changes(const plant::Plant& plant) {
        seen_ = plant.fault_changes();
        active_before_ = plant.faults();
    }

  private:
    void record_differences(const plant::Plant& plant, record::RunRecord& record);

    std::uint32_t seen_ = 0;
    std::vector<plant::ActiveFault> active_before_;
};

}  // namespace freshet::bench
