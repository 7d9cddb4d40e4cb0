// Orders that people write, a line each on a file descriptor, beside a loop that must not wait for them.
// One reason to change: how such lines are taken in.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace freshet::service {

/// Longer than any order; what is longer is no order.
inline constexpr std::size_t order_length_max = 200;

/// A line that has come, without its end; or why what came is none, as a sentence for its writer.
struct OrderLine {
    std::string text;
    std::string refused;  ///< not empty: nothing of it may be obeyed
};

/// Takes whole lines as they come, without ever waiting. A line that is too long is refused whole, and so is
/// one that the end of the input cut off: what is left of an order may be another order.
class OrderLines {
  public:
    explicit OrderLines(int descriptor) : descriptor_(descriptor) {}

    /// The next line; nothing when none is whole yet. What floods in is read a bounded part at a time.
    std::optional<OrderLine> next();

  private:
    std::optional<OrderLine> taken();
    bool read_more();

    int descriptor_;
    bool ended_ = false;
    bool too_long_ = false;  ///< the line being read is; only its end is still looked for
    std::string unread_;
};

/// The words of a line, between blanks. They refer to the line.
std::vector<std::string_view> words_of(std::string_view line);

}  // namespace freshet::service
