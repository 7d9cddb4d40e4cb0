// The ideal operators that the controller is compared with. They have the same pumps, ramps, draws of the
// synchroniser and contactor times as the controller. No limit of wear binds them.
// One reason to change: the freedom of an ideal operator.
#pragma once

#include <cstddef>
#include <cstdint>

#include "config/scenario.hpp"
#include "sim_plant/physics/orders.hpp"
#include "sim_plant/station/plant.hpp"
#include "tests/property/staging/lost_equipment.hpp"
#include "tests/property/staging/random_station.hpp"

namespace freshet::staging_campaign {

/// The number of motors that line or drive feeds.
std::size_t pumps_running(const plant::Plant& plant, std::size_t pump_count);

/// The prompt operator sees the true inflow of the instant, and brings up the next pump as soon as the
/// running pumps at full speed do not carry the inflow. All pumps run at full speed while the level is
/// above the setpoint. Below the stop mark the operator stops every pump.
///
/// The operator sees the true faults and the true positions of the contactors. The operator starts no lost
/// pump. Without the drive or without hand-overs the operator starts pumps on the line, in the times that the
/// supply needs. After an emergency stop the operator waits for the reset.
class PromptOperator {
  public:
    /// `found`: the orders in force when the operator takes over.
    PromptOperator(const RandomStation& station, const plant::Orders& found)
        : station_(station), orders_(found) {}

    /// The orders of one scan. The operator waits for the confirmation of each contactor, as the
    /// controller does.
    const plant::Orders& decide(const plant::Plant& plant);

  private:
    bool must_stop(const plant::Plant& plant);
    void withdraw_what_does_not_close(const plant::PowerTrainState& electrical);
    bool is_carried(const plant::Plant& plant) const;
    void start_another(const plant::Plant& plant);
    void start_on_line(const plant::Plant& plant);
    void finish_hand_over(const plant::PowerTrainState& electrical, std::size_t pump);
    void leave_drive(std::size_t pump);
    void run_on_drive(const plant::Plant& plant, std::size_t pump, bool carried);
    std::size_t idle_pump(const plant::PowerTrainState& electrical) const;
    std::size_t drive_pump() const;

    const RandomStation& station_;
    plant::Orders orders_;
    LostEquipment lost_;
    bool awaits_reset_ = false;
    std::uint16_t resets_before_ = 0;
    std::int64_t line_start_ms_ = 0;  ///< the last
    double does_not_close_s_ = 0;     ///< for how long a contactor that is ordered closed has been open
};

/// The whole scenario with the prompt operator from the beginning.
struct PromptRun {
    double overflow_m3 = 0, level_max_m = 0;
    /// True when the level rose to the uppermost tenth between the mark for another pump and the crest.
    bool nearly_spills(const RandomStation& station) const {
        constexpr double uppermost = 0.1;
        const double crest_m = station.given.well.overflow_level_m;
        return level_max_m >= crest_m - uppermost * (crest_m - station.settings.marks.stage_up_m);
    }
};
PromptRun literal_prompt(const RandomStation& station, const config::Scenario& scenario);

}  // namespace freshet::staging_campaign
