// Orders of a person at the controller, one line for each order on a file descriptor: about alarms, and the
// reset after an emergency stop.
// One reason to change: how such a line is written.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "controller/core/advice.hpp"
#include "hal/service/order_lines.hpp"

namespace freshet::controller_process {

/// The order in a line, and the answer to its writer.
struct ReadOrder {
    core::OperatorInputs people;  ///< empty: the line has an answer but no order
    std::string name;             ///< the name of the alarm, as the person wrote the name
    std::string answer;           ///< empty: the answer depends on the scan that receives the order
};

/// Reads one line: `list`, `acknowledge all`, `acknowledge ALARM`, `shelve ALARM MINUTES`, `unshelve ALARM`,
/// `out_of_service ALARM`, `in_service ALARM`, `reset`. ALARM is a name as in the journal. The alarm of a
/// pump has the number of the pump before its name: `pump_2.tripped`. The answer to a mistake gives the
/// expected words and the nearest known word.
ReadOrder read_order(std::string_view line, const core::Advice& advice, std::uint8_t pump_count);

/// The result of an order, according to the events of the scan that received the order.
std::string outcome_of(const ReadOrder& order, const core::Advice& advice);

/// Reads lines without waiting and answers each line on standard error.
class AlarmOrders {
  public:
    AlarmOrders(int descriptor, std::uint8_t pump_count) : lines_(descriptor), pump_count_(pump_count) {}

    /// Returns the next order for the core, at most one order in a scan. The result has no order when no line
    /// has come. `advice` is the last advice. The answer to `list` comes from this advice.
    core::OperatorInputs next(const core::Advice& advice);
    /// Answers the order that `next` returned. `advice` comes from the scan that received the order.
    void answer(const core::Advice& advice);

  private:
    service::OrderLines lines_;
    std::uint8_t pump_count_;
    ReadOrder given_;
};

}  // namespace freshet::controller_process
