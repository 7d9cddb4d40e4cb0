// The line that tells on a terminal how the run goes: time, level, inflow, who is on the drive, who is on the
// line, what comes next. One reason to change: what it tells.
#pragma once

#include <chrono>
#include <string>

#include "hal/modbus/advice_decoder.hpp"
#include "sim_plant/station/plant.hpp"

namespace freshet::plant_process {

/// Void advice is told as such, whatever its registers hold.
std::string live_text(const plant::Plant& plant, std::size_t pump_count, const modbus::AdviceRead& read,
                      modbus::Validity validity);

/// Shows the line a few times a second, in place on a terminal and now and then otherwise, and only if
/// enabled.
class LiveLine {
  public:
    explicit LiveLine(bool enabled);
    /// Cheap while nothing is due.
    bool due();
    void show(const std::string& text);
    /// Leaves the last line standing.
    void end();

  private:
    bool enabled_, in_place_;
    std::size_t last_length_ = 0;
    unsigned asked_ = 0;
    std::chrono::steady_clock::time_point next_{};
};

}  // namespace freshet::plant_process
