// Lines out of a descriptor; see the header.
#include "hal/service/order_lines.hpp"

#include <poll.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <utility>

namespace freshet::service {

namespace {

OrderLine too_long() {
    return {{},
            "a line of more than " + std::to_string(order_length_max) +
                " characters is not an order; nothing was done\n"};
}

}  // namespace

std::optional<OrderLine> OrderLines::taken() {
    const std::size_t end = unread_.find('\n');
    if (end == std::string::npos) {
        if (unread_.size() > order_length_max) {
            too_long_ = true;
            unread_.clear();
        }
        return std::nullopt;
    }
    OrderLine line{unread_.substr(0, end), {}};
    unread_.erase(0, end + 1);
    if (std::exchange(too_long_, false) || line.text.size() > order_length_max) line = too_long();
    return line;
}

/// False: no bytes have come.
bool OrderLines::read_more() {
    pollfd waiting{descriptor_, POLLIN, 0};
    if (ended_ || poll(&waiting, 1, 0) <= 0) return false;
    std::array<char, order_length_max> text;
    const ssize_t read_bytes = read(descriptor_, text.data(), text.size());
    if (read_bytes < 0 && (errno == EINTR || errno == EAGAIN)) return false;
    ended_ = read_bytes <= 0;
    if (!ended_) unread_.append(text.data(), static_cast<std::size_t>(read_bytes));
    return !ended_;
}

std::optional<OrderLine> OrderLines::next() {
    constexpr int reads_max =
        16;  // a person does not type faster, and a flood of lines must not delay a scan
    for (int reads = 0;; ++reads) {
        if (auto line = taken()) return line;
        if (reads == reads_max) return std::nullopt;
        if (!read_more()) break;
    }
    if (!ended_) return std::nullopt;
    const std::string cut = std::exchange(unread_, {});
    if (std::exchange(too_long_, false)) return too_long();
    if (cut.empty()) return std::nullopt;
    return OrderLine{{}, "'" + cut + "' was cut off by the end of the input; nothing was done\n"};
}

std::vector<std::string_view> words_of(std::string_view line) {
    std::vector<std::string_view> words;
    constexpr std::string_view blanks = " \t\r";
    for (std::size_t at = line.find_first_not_of(blanks); at != std::string_view::npos;) {
        const std::size_t end = line.find_first_of(blanks, at);
        words.push_back(line.substr(at, end - at));
        at = end == std::string_view::npos ? end : line.find_first_not_of(blanks, end);
    }
    return words;
}

}  // namespace freshet::service
