// The live line of a run on a terminal: time, level, inflow, the pump on the drive, the pumps on the line,
// the next action. One reason to change: the content of the line.
#pragma once

#include <chrono>
#include <string>

#include "hal/modbus/advice_decoder.hpp"
#include "sim_plant/station/plant.hpp"

namespace freshet::plant_process {

/// The text for void advice says that the advice is void, and leaves out the content of its registers.
std::string live_text(const plant::Plant& plant, std::size_t pump_count, const modbus::AdviceRead& read,
                      modbus::Validity validity);

/// Shows the line if the user enabled the line. On a terminal the line changes in place a few times a
/// second. Elsewhere a new line appears now and then.
class LiveLine {
  public:
    explicit LiveLine(bool enabled);
    /// Returns true when the line is due. A call costs little while the line is not due.
    bool due();
    void show(const std::string& text);
    /// Keeps the last line on the terminal.
    void end();

  private:
    bool enabled_, in_place_;
    std::size_t last_length_ = 0;
    unsigned asked_ = 0;
    std::chrono::steady_clock::time_point next_{};
};

}  // namespace freshet::plant_process
