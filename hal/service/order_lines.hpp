// Orders that people write, one line for each order on a file descriptor, for a loop that must not wait.
// One reason to change: how lines with orders are read.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace freshet::service {

/// Longer than any order. A longer line is not an order.
inline constexpr std::size_t order_length_max = 200;

/// A line without its end, or the reason why the input was refused, as a sentence for the writer of the line.
struct OrderLine {
    std::string text;
    std::string refused;  ///< not empty: the line must not be obeyed
};

/// Reads complete lines without waiting. A line that is too long is refused as a whole. A line that the end
/// of the input cut off is refused, too, because the rest of an order may be another order.
class OrderLines {
  public:
    explicit OrderLines(int descriptor) : descriptor_(descriptor) {}

    /// The next complete line. Empty when there is no complete line yet. A flood of lines is read in limited
    /// parts.
    std::optional<OrderLine> next();

  private:
    std::optional<OrderLine> taken();
    bool read_more();

    int descriptor_;
    bool ended_ = false;
    bool too_long_ = false;  ///< the present line is too long; only its end is of interest
    std::string unread_;
};

/// The words of a line, between blanks. The words refer to the memory of the line.
std::vector<std::string_view> words_of(std::string_view line);

}  // namespace freshet::service
