// The equipment that a fault takes from everybody at a station. An ideal operator sees the true faults at once.
// One reason to change: what a fault takes away.
#pragma once

#include <array>
#include <vector>

#include "sim_plant/physics/power_train.hpp"
#include "sim_plant/station/fault_book.hpp"

namespace freshet::staging_campaign {

/// A fault of an instrument, of an auxiliary contact or of the link takes nothing away.
struct LostEquipment {
    bool station = false;             ///< the emergency stop is operated, or reads as operated
    bool drive = false;               ///< the drive takes no other pump
    bool hand_over = false;           ///< the pump on the drive stays on the drive
    std::array<bool, 8> no_start{};   ///< the pump cannot be started; a pump that runs keeps running
    std::array<bool, 8> weak{};       ///< the pump delivers less than its curve
    std::array<bool, 8> runs_back{};  ///< the pump at rest lets water flow back into the well
};

/// `faults`: in force at the station.
LostEquipment lost_equipment(const std::vector<plant::ActiveFault>& faults,
                             const plant::PowerTrainState& electrical);

}  // namespace freshet::staging_campaign
