// Faults that an instructor sets and clears while the station runs, a line each on a file descriptor.
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

/// What came of one line.
struct Obeyed {
    enum class Outcome : std::uint8_t { nothing_asked, listed, set, cleared, refused };
    Outcome outcome = Outcome::nothing_asked;
    std::string order = {};              ///< the line; empty where it could not be taken in whole
    std::string device = {}, kind = {};  ///< of what was set or cleared
    std::optional<double> amount = {};   ///< as written, SI
    std::string answer = {};  ///< for the instructor: what was done, or what was wrong and was expected
};

/// Carries out one line: `DEVICE KIND [AMOUNT]` sets, `clear DEVICE` clears, `list` names devices and what
/// can go wrong with them. Devices and kinds are the scenario file's; the amount is in SI units, its meaning
/// by kind.
Obeyed obey(std::string_view line, plant::Plant& plant, std::uint8_t pump_count);

/// Takes whole lines as they come, without ever waiting.
class FaultOrders {
  public:
    explicit FaultOrders(int descriptor) : lines_(descriptor) {}

    /// Carries out the lines that have come, a bounded number at a time, and answers each on standard error;
    /// returns what came of them, in order.
    std::vector<Obeyed> obey(plant::Plant& plant, std::uint8_t pump_count);

  private:
    service::OrderLines lines_;
};

}  // namespace freshet::plant_process
