// Carries out the lines of an instructor. The header describes the lines.
#include "sim_plant/process/fault_orders.hpp"

#include <charconv>
#include <cmath>
#include <cstdio>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "config/devices.hpp"
#include "config/loader/fault_amounts.hpp"
#include "config/loader/nearest.hpp"

namespace freshet::plant_process {

namespace {

constexpr std::size_t lines_in_a_step = 16;  // later steps carry out further lines

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

/// Returns `; nearest known WHAT "word"`. Returns an empty text when no known word is near.
std::string hint(std::string_view word, std::string_view what, std::span<const std::string_view> known) {
    const std::string_view near = config::nearest(word, known);
    return near.empty() ? std::string() : fmt::format("; nearest known {} \"{}\"", what, near);
}

std::string no_device(std::string_view name, std::uint8_t pump_count) {
    const std::vector<std::string> names = config::device_names(pump_count);
    return fmt::format("there is no device '{}'; the order list names the devices{}\n", name,
                       hint(name, "device", std::vector<std::string_view>(names.begin(), names.end())));
}

std::string no_kind(std::string_view word, std::string_view name, const config::Device& device) {
    if (const auto now = config::kind_once_called(word); now && config::takes(device.kind_of_device, *now))
        return fmt::format("the fault '{}' has a new name; expected '{}'\n", word, config::word_for(*now));
    const std::vector<std::string_view> kinds = kinds_of(device);
    return fmt::format("'{}' is not a fault of {}; expected one of {}{}\n", word, name,
                       fmt::join(kinds, ", "), hint(word, "kind", kinds));
}

/// The amount that an order may have, for example "a number in s, above 0".
std::string expected(const config::AmountRule& rule, const config::Device& device) {
    using config::AmountUse;
    if (rule.use == AmountUse::of_signal || rule.use == AmountUse::of_signal_per_s)
        return fmt::format("a number in {}{}", config::amount_unit(device),
                           rule.use == AmountUse::of_signal ? "" : "/s");
    std::string text = rule.quantity == config::Quantity::ratio
                           ? "a plain number"
                           : fmt::format("a number in {}", config::si_symbol_of(rule.quantity));
    text += fmt::format(", {} {}", rule.range.least_excluded ? "above" : "from", rule.range.least);
    if (std::isfinite(rule.range.most)) text += fmt::format(" to {}", rule.range.most);
    return text;
}

}  // namespace

Obeyed obey(std::string_view line, plant::Plant& plant, std::uint8_t pump_count) {
    using Outcome = Obeyed::Outcome;
    Obeyed obeyed;
    obeyed.order = line;
    const auto with = [&](Outcome outcome, std::string answer) {
        obeyed.outcome = outcome;
        obeyed.answer = std::move(answer);
        return std::move(obeyed);
    };
    const auto refused = [&](std::string why) { return with(Outcome::refused, std::move(why)); };

    const std::vector<std::string_view> words = service::words_of(line);
    if (words.empty()) return obeyed;
    if (words[0] == "list" && words.size() == 1) return with(Outcome::listed, list_of(pump_count));
    const bool clears = words[0] == "clear";
    constexpr std::size_t words_max = 3;
    if (words.size() < 2 || words.size() > (clears ? words_max - 1 : words_max))
        return refused(fmt::format(
            "'{}' is not an order; expected DEVICE KIND [AMOUNT], clear DEVICE, or list\n", line));

    const std::string_view name = clears ? words[1] : words[0];
    const auto device = config::find_device(name, pump_count);
    if (!device) return refused(no_device(name, pump_count));
    if (clears) {
        if (!plant.clear_fault(name)) return refused(fmt::format("{}: no fault to clear\n", name));
        obeyed.device = name;
        return with(Outcome::cleared, fmt::format("{}: cleared\n", name));
    }

    const auto kind = kind_of(*device, words[1]);
    if (!kind) return refused(no_kind(words[1], name, *device));
    const config::AmountRule rule = config::amount_of(*kind, device->kind_of_device);
    double amount = 0;
    if (words.size() == words_max) {
        const char* const end = words[2].data() + words[2].size();
        const auto read = std::from_chars(words[2].data(), end, amount);
        const bool is_number = read.ec == std::errc{} && read.ptr == end;
        if (rule.use == config::AmountUse::none)
            return refused(
                fmt::format("{} {} has no amount; the order was not carried out\n", name, words[1]));
        if (!is_number || !std::isfinite(amount) || !config::within(rule.range, amount))
            return refused(fmt::format("'{}' is not an amount for {} {}; expected {}\n", words[2], name,
                                       words[1], expected(rule, *device)));
        obeyed.amount = amount;
    } else if (rule.use != config::AmountUse::none && rule.use != config::AmountUse::optional) {
        return refused(
            fmt::format("{} {} needs an amount; expected {}\n", name, words[1], expected(rule, *device)));
    }
    plant.set_fault(name, *kind, amount * rule.factor);
    obeyed.device = name;
    obeyed.kind = words[1];
    return with(Outcome::set, fmt::format("{}: {}{}\n", name, words[1],
                                          words.size() == words_max ? fmt::format(" {}", words[2]) : ""));
}

std::vector<Obeyed> FaultOrders::obey(plant::Plant& plant, std::uint8_t pump_count) {
    std::vector<Obeyed> all;
    while (all.size() < lines_in_a_step) {
        const auto line = lines_.next();
        if (!line) break;
        if (line->refused.empty()) {
            all.push_back(plant_process::obey(line->text, plant, pump_count));
        } else {
            all.push_back({.outcome = Obeyed::Outcome::refused, .answer = line->refused});
        }
        fmt::print(stderr, "{}", all.back().answer);
    }
    return all;
}

}  // namespace freshet::plant_process
