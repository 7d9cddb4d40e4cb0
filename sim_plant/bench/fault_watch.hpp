// Tells the record which faults of the simulated station came and went.
// One reason to change: when a fault is news.
#pragma once

#include <cstdint>
#include <vector>

#include "controller/record/run_record.hpp"
#include "sim_plant/station/plant.hpp"

namespace freshet::bench {

class FaultWatch {
  public:
    /// Before each step; one comparison while nothing has changed. What is found to have changed since the
    /// last look was the scenario's doing.
    void look(const plant::Plant& plant, record::RunRecord& record) {
        if (plant.fault_changes() != seen_) tell(plant, record);
    }
    /// What changed since the last look was somebody else's doing, and has been told.
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
