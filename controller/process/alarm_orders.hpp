// Orders about alarms from a person at the controller, one line for each order on a file descriptor.
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
    core::OperatorInputs people;  ///< empty: only the answer counts
    std::string name;             ///< of the alarm, as it was written
    std::string answer;           ///< empty: it depends on what the scan makes of the order
};

/// Reads one line: `list`, `acknowledge all`, `acknowledge ALARM`, `shelve ALARM MINUTES`, `unshelve ALARM`,
/// `out_of_service ALARM`, `in_service ALARM`. ALARM is a name as in the journal; of a pump with its number:
/// `pump_2.tripped`. What is wrong is answered with the expected words and the nearest known word.
ReadOrder read_order(std::string_view line, const core::Advice& advice, std::uint8_t pump_count);

/// The result of an order, according to the events of the scan that received the order.
std::string outcome_of(const ReadOrder& order, const core::Advice& advice);

/// Reads lines without waiting and answers each line on standard error.
class AlarmOrders {
  public:
    AlarmOrders(int descriptor, std::uint8_t pump_count) : lines_(descriptor), pump_count_(pump_count) {}

    /// The next order for the core, at most one in a scan; without an order when no line has come. `advice`
    /// is the last advice, from which `list` is answered.
    core::OperatorInputs next(const core::Advice& advice);
    /// Answers the order that `next` gave, from the advice of the scan that received the order.
    void answer(const core::Advice& advice);

  private:
    service::OrderLines lines_;
    std::uint8_t pump_count_;
    ReadOrder given_;
};

}  // namespace freshet::controller_process
