// What somebody in attendance says about alarms, a line each on a file descriptor.
// One reason to change: how such a line is written.
#pragma once

#include <cstdint>
#include <deque>
#include <string>
#include <string_view>

#include "controller/core/advice.hpp"

namespace freshet::controller_process {

/// What a line asks the core to do, and what to tell its writer.
struct ReadOrder {
    core::OperatorInputs people;  ///< asks for nothing: the answer is all
    std::string answer;
};

/// Reads one line: `list`, `acknowledge all`, `acknowledge ALARM`, `shelve ALARM MINUTES`, `unshelve ALARM`,
/// `out_of_service ALARM`, `in_service ALARM`. ALARM is a name as in the journal; of a pump with its number:
/// `pump_2.tripped`. What is wrong is answered with what was expected.
ReadOrder read_order(std::string_view line, const core::Advice& advice, std::uint8_t pump_count);

/// Reads whole lines as they come, without ever waiting; answers on standard error.
class AlarmOrders {
  public:
    AlarmOrders(int descriptor, std::uint8_t pump_count) : descriptor_(descriptor), pump_count_(pump_count) {}

    /// The next order for the core, at most one in a scan; asks for nothing when there is none. `advice` is
    /// the last one, for what is listed.
    core::OperatorInputs next(const core::Advice& advice);

  private:
    void read_lines();

    int descriptor_;
    std::uint8_t pump_count_;
    bool ended_ = false;
    std::string unfinished_;
    std::deque<std::string> lines_;
};

}  // namespace freshet::controller_process
