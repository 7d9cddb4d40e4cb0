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
    /// Call before each step. Costs one comparison while nothing has changed. The scenario caused the changes
    /// since the last comparison.
    void look(const plant::Plant& plant, record::RunRecord& record) {
        if (plant.fault_changes() != seen_) tell(plant, record);
    }
    /// An instructor caused the changes since the last comparison, and these changes are recorded already.
    void pass_over(const plant::Plant& plant) {
        seen_ = plant.fault_changes();
        standing_ = plant.faults();
    }

  private:
    void tell(const plant::Plant& plant, record::RunRecord& record);

    std::uint32_t seen_ = 0;
    std::vector<plant::ActiveFault> standing_;
};

}  // namespace freshet::bench
