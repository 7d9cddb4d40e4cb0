// The ideal operators that the controller is compared with. They have the same pumps, ramps, draws of the
// synchroniser and contactor times as the controller. No limit of wear binds them.
// One reason to change: the freedom of an ideal operator.
#pragma once

#include <cstddef>
#include <cstdint>

#include "config/scenario.hpp"
#include "sim_plant/physics/orders.hpp"
#include "sim_plant/station/plant.hpp"
#include "tests/property/staging/random_station.hpp"

namespace freshet::staging_campaign {

/// The number of motors that line or drive feeds.
std::size_t pumps_running(const plant::Plant& plant, std::size_t pump_count);

/// The prompt operator sees the true inflow of the instant, and brings up the next pump as soon as the
/// running pumps at full speed do not carry the inflow. All pumps run at full speed while the level is
/// above the setpoint. Below the stop mark the operator stops every pump.
class PromptOperator {
  public:
    /// `found`: the orders in force when the operator takes over.
    PromptOperator(const RandomStation& station, const plant::Orders& found)
        : station_(station), orders_(found) {}

    /// The orders of one scan. The operator waits for the confirmation of each contactor, as the
    /// controller does.
    const plant::Orders& decide(const plant::Plant& plant);

  private:
    void start_another(const plant::PowerTrainState& electrical);
    void finish_hand_over(const plant::PowerTrainState& electrical, std::size_t pump);
    void run_on_drive(const plant::PowerTrainState& electrical, std::size_t pump, bool carried, bool low);
    std::size_t idle_pump(const plant::PowerTrainState& electrical) const;
    std::size_t drive_pump() const;

    const RandomStation& station_;
    plant::Orders orders_;
};

/// The overflow over the whole scenario with the prompt operator from the beginning, m3.
double literal_prompt_overflow_m3(const RandomStation& station, const config::Scenario& scenario);

/// A lower bound for the operator who knows the inflow to come, m3: all pumps run at full speed from the
/// first moment, whenever the level is above the stop mark.
double foreseeing_overflow_m3(const RandomStation& station, const config::Scenario& scenario);

}  // namespace freshet::staging_campaign
