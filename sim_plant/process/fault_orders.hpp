// Faults that an instructor sets and clears while the station runs, one line for each order on a file
// descriptor.
// One reason to change: how such a line is written.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "hal/service/order_lines.hpp"
#include "sim_plant/station/plant.hpp"

namespace freshet::plant_process {

/// The result of a line.
struct Obeyed {
    enum class Outcome : std::uint8_t { nothing_asked, listed, set, cleared, refused };
    Outcome outcome = Outcome::nothing_asked;
    std::string order = {};              ///< the line; empty when the plant refused the whole line
    std::string device = {}, kind = {};  ///< of the fault that the line set or cleared
    std::optional<double> amount = {};   ///< as written, in SI units
    std::string answer = {};  ///< to the instructor: the action, or the mistake and the expected words
};

/// Carries out one line. `DEVICE KIND [AMOUNT]` sets a fault. `clear DEVICE` clears the faults of a device.
/// `list` names the devices and their faults. Devices and kinds have the names of the scenario file. The
/// amount is in SI units. The kind of the fault gives the meaning of the amount.
Obeyed obey(std::string_view line, plant::Plant& plant, std::uint8_t pump_count);

/// Reads complete lines without waiting.
class FaultOrders {
  public:
    explicit FaultOrders(int descriptor) : lines_(descriptor) {}

    /// Carries out the lines that have come, but only a limited number in one call. Answers each line on
    /// standard error. Returns the results in order.
    std::vector<Obeyed> obey(plant::Plant& plant, std::uint8_t pump_count);

  private:
    service::OrderLines lines_;
};

}  // namespace freshet::plant_process
