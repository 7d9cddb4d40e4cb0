// An instructor's lines; see the header.
#include "sim_plant/process/fault_orders.hpp"

#include <poll.h>
#include <unistd.h>

#include <charconv>
#include <cstdio>
#include <optional>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "config/devices.hpp"

namespace freshet::plant_process {

namespace {

constexpr std::size_t line_max = 200;  ///< longer than any order; what is longer is no order

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

std::vector<std::string_view> kinds_of(const config::Device& device) {
    std::vector<std::string_view> kinds;
    for (const config::FaultKind kind : config::faults_of(device.kind_of_device))
        kinds.push_back(config::word_for(kind));
    return kinds;
}

std::optional<config::FaultKind> kind_of(const config::Device& device, std::string_view word) {
    for (const config::FaultKind kind : config::faults_of(device.kind_of_device))
        if (config::word_for(kind) == word) return kind;
    return std::nullopt;
}

std::string list_of(std::uint8_t pump_count) {
    std::string list;
    for (const std::string& name : config::device_names(pump_count))
        if (const auto device = config::find_device(name, pump_count))
            list += fmt::format("{}: {}\n", name, fmt::join(kinds_of(*device), ", "));
    return list;
}

}  // namespace

std::string obey(std::string_view line, plant::Plant& plant, std::uint8_t pump_count) {
    const std::vector<std::string_view> words = words_of(line);
    if (words.empty()) return {};
    if (words[0] == "list" && words.size() == 1) return list_of(pump_count);
    const bool clears = words[0] == "clear";
    constexpr std::size_t words_max = 3;
    if (words.size() < 2 || words.size() > (clears ? words_max - 1 : words_max))
        return fmt::format("'{}' is no order; expected DEVICE KIND [AMOUNT], clear DEVICE, or list\n", line);

    const std::string_view name = clears ? words[1] : words[0];
    const auto device = config::find_device(name, pump_count);
    if (!device) return fmt::format("there is no device '{}'; list names them\n", name);
    if (clears)
        return plant.clear_fault(name) ? fmt::format("{}: cleared\n", name)
                                       : fmt::format("{}: nothing to clear\n", name);

    const auto kind = kind_of(*device, words[1]);
    if (!kind)
        return fmt::format("'{}' cannot happen to {}; expected one of {}\n", words[1], name,
                           fmt::join(kinds_of(*device), ", "));
    double amount = 0;
    if (words.size() == words_max) {
        const char* const end = words[2].data() + words[2].size();
        const auto read = std::from_chars(words[2].data(), end, amount);
        if (read.ec != std::errc{} || read.ptr != end)
            return fmt::format("'{}' is no amount; expected a number in SI units\n", words[2]);
    }
    plant.set_fault(name, *kind, amount);
    return fmt::format("{}: {}\n", name, words[1]);
}

std::size_t FaultOrders::obey(plant::Plant& plant, std::uint8_t pump_count) {
    std::size_t obeyed = 0;
    while (!ended_) {
        pollfd waiting{descriptor_, POLLIN, 0};
        if (poll(&waiting, 1, 0) <= 0) break;
        char text[line_max];
        const ssize_t read_bytes = read(descriptor_, text, sizeof text);
        if (read_bytes <= 0) {
            ended_ = true;
            break;
        }
        unfinished_.append(text, static_cast<std::size_t>(read_bytes));
        for (std::size_t end = unfinished_.find('\n'); end != std::string::npos;
             end = unfinished_.find('\n')) {
            const std::string answer =
                plant_process::obey(std::string_view(unfinished_).substr(0, end), plant, pump_count);
            fmt::print(stderr, "{}", answer);
            unfinished_.erase(0, end + 1);
            ++obeyed;
        }
        if (unfinished_.size() > line_max) unfinished_.clear();
    }
    return obeyed;
}

}  // namespace freshet::plant_process
