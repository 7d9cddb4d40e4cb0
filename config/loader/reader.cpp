// The words of refusals: what is wrong, what is expected, the nearest known key.
// One reason to change: how a file's values are read and refused.
#include "config/loader/reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace freshet::config {
namespace {

std::string suggestion(std::string_view word, std::span<const std::string_view> candidates,
                       std::string_view what) {
    const std::string_view near = nearest(word, candidates);
    return near.empty() ? std::string() : fmt::format("; nearest known {} \"{}\"", what, near);
}

std::string shown(const Node& node) {
    switch (node.kind) {
        case Node::Kind::string:
            return fmt::format("\"{}\"", node.string);
        case Node::Kind::integer:
            return fmt::format("{}", node.integer);
        case Node::Kind::real:
            return fmt::format("{}", node.real);
        case Node::Kind::boolean:
            return node.boolean ? "true" : "false";
        default:
            return std::string(name_of(node.kind));
    }
}

}  // namespace

void report(Source& source, const Node& document, const Findings& findings) {
    for (const Finding& finding : findings) source.error(place_of(document, finding.path), finding.message);
}

TableReader::TableReader(Source& source, const Node& table, std::string name)
    : source_(&source), table_(&table), name_(std::move(name)) {}

Place TableReader::place() const {
    return {std::max(table_->place.line, 1U), std::max(table_->place.column, 1U)};
}

std::string TableReader::called(std::string_view key) const {
    return name_.empty() ? std::string(key) : fmt::format("{} {}", name_, key);
}

std::string TableReader::name_within(std::string_view key) const {
    return name_.empty() ? fmt::format("[{}]", key)
                         : fmt::format("{}.{}]", name_.substr(0, name_.size() - 1), key);
}

const Node* TableReader::optional(std::string_view key) {
    if (std::ranges::find(known_, key) == known_.end()) known_.emplace_back(key);
    return find(*table_, key);
}

const Node* TableReader::required(std::string_view key, std::string_view expected) {
    const Node* node = optional(key);
    if (node == nullptr) missing(key, fmt::format("{} is missing; expected {}", called(key), expected));
    return node;
}

void TableReader::missing(std::string_view key, std::string message) {
    missing_.push_back({std::string(key), source_->errors.size()});
    source_->error(place(), std::move(message));
}

void TableReader::wrong_kind(const Node& node, std::string_view key, std::string_view expected) {
    source_->error(node.place,
                   fmt::format("{} is {}; expected {}", called(key), name_of(node.kind), expected));
}

bool TableReader::in_range(const Node& node, std::string_view key, double value, Range range,
                           std::string_view unit) {
    const auto refuse = [&](std::string_view relation, double bound) {
        // The message gives the bound in the unit of the file: a value in percent is answered in percent.
        const bool percent = node.kind == Node::Kind::string && node.string.ends_with('%');
        const std::string_view symbol = percent ? "%" : unit;
        source_->error(node.place, fmt::format("{} is {}; expected a value {} {:g}{}{}", called(key),
                                               shown(node), relation, percent ? 100 * bound : bound,
                                               symbol.empty() ? "" : " ", symbol));
        return false;
    };
    if (!std::isfinite(value)) {
        source_->error(node.place,
                       fmt::format("{} is {}; expected a finite number", called(key), shown(node)));
        return false;
    }
    if (range.least_excluded ? !(value > range.least) : !(value >= range.least))
        return refuse(range.least_excluded ? "above" : "of at least", range.least);
    if (!(value <= range.most)) return refuse("of at most", range.most);
    return true;
}

std::optional<double> TableReader::quantity_of(const Node& node, std::string_view key, Quantity quantity,
                                               Range range) {
    double value = 0;
    if (node.kind == Node::Kind::string) {
        const auto si = source_->units.si(node.string, quantity);
        if (!si) {
            source_->error(node.place, fmt::format("{}: {}", called(key), si.error()));
            return std::nullopt;
        }
        value = *si;
    } else if (quantity == Quantity::ratio &&
               (node.kind == Node::Kind::real || node.kind == Node::Kind::integer)) {
        value = node.real;
    } else {
        if (node.kind == Node::Kind::real || node.kind == Node::Kind::integer)
            source_->error(node.place, fmt::format("{} is {} without a unit; expected {}", called(key),
                                                   shown(node), description_of(quantity)));
        else
            wrong_kind(node, key, description_of(quantity));
        return std::nullopt;
    }
    if (!in_range(node, key, value, range, si_symbol_of(quantity))) return std::nullopt;
    return value;
}

double TableReader::quantity(std::string_view key, Quantity quantity, Range range) {
    const Node* node = required(key, description_of(quantity));
    return node != nullptr ? quantity_of(*node, key, quantity, range).value_or(0) : 0;
}

std::optional<double> TableReader::optional_quantity(std::string_view key, Quantity quantity, Range range) {
    const Node* node = optional(key);
    return node != nullptr ? quantity_of(*node, key, quantity, range) : std::nullopt;
}

namespace {
/// People set durations of days at most. The bound keeps every duration inside 32 bits.
constexpr double milliseconds_max = std::numeric_limits<std::int32_t>::max();
std::int32_t whole_milliseconds(double seconds) {
    return static_cast<std::int32_t>(std::lround(seconds * 1000));
}
Range bounded(Range range) {
    range.most = std::min(range.most, std::floor(milliseconds_max / 1000));
    return range;
}
}  // namespace

std::int32_t TableReader::milliseconds(std::string_view key, Range range) {
    return whole_milliseconds(quantity(key, Quantity::duration, bounded(range)));
}

std::optional<std::int32_t> TableReader::optional_milliseconds(std::string_view key, Range range) {
    const auto seconds = optional_quantity(key, Quantity::duration, bounded(range));
    return seconds ? std::optional(whole_milliseconds(*seconds)) : std::nullopt;
}

std::optional<double> TableReader::number_of(const Node& node, std::string_view key, Range range) {
    if (node.kind != Node::Kind::real && node.kind != Node::Kind::integer) {
        wrong_kind(node, key, "a plain number");
        return std::nullopt;
    }
    if (!in_range(node, key, node.real, range, "")) return std::nullopt;
    return node.real;
}

double TableReader::number(std::string_view key, Range range) {
    const Node* node = required(key, "a plain number");
    return node != nullptr ? number_of(*node, key, range).value_or(0) : 0;
}

std::optional<double> TableReader::optional_number(std::string_view key, Range range) {
    const Node* node = optional(key);
    return node != nullptr ? number_of(*node, key, range) : std::nullopt;
}

std::int64_t TableReader::integer(std::string_view key, std::int64_t least, std::int64_t most) {
    const std::string expected = fmt::format("a whole number from {} to {}", least, most);
    const Node* node = required(key, expected);
    if (node == nullptr) return 0;
    if (node->kind == Node::Kind::integer && node->integer >= least && node->integer <= most)
        return node->integer;
    source_->error(node->place, fmt::format("{} is {}; expected {}", called(key), shown(*node), expected));
    return 0;
}

bool TableReader::boolean(std::string_view key) {
    const Node* node = required(key, "true or false");
    if (node == nullptr) return false;
    if (node->kind != Node::Kind::boolean) wrong_kind(*node, key, "true or false");
    return node->boolean;
}

std::optional<bool> TableReader::optional_boolean(std::string_view key) {
    return optional(key) != nullptr ? std::optional(boolean(key)) : std::nullopt;
}

std::string TableReader::string(std::string_view key, std::string_view expected) {
    const Node* node = required(key, expected);
    if (node == nullptr) return {};
    if (node->kind != Node::Kind::string) {
        wrong_kind(*node, key, expected);
        return {};
    }
    if (node->string.empty())
        source_->error(node->place, fmt::format("{} is empty; expected {}", called(key), expected));
    return node->string;
}

std::int64_t TableReader::instant(std::string_view key) {
    constexpr std::string_view expected =
        "a date and time with its offset from UTC, such as 2031-05-17T00:00:00Z";
    const Node* node = required(key, expected);
    if (node == nullptr) return 0;
    if (node->kind != Node::Kind::instant) wrong_kind(*node, key, expected);
    return node->integer;
}

const Node* TableReader::table(std::string_view key, std::string_view expected) {
    const Node* node = required(key, expected);
    if (node == nullptr || node->kind == Node::Kind::table) return node;
    wrong_kind(*node, key, expected);
    return nullptr;
}

std::span<const Node> TableReader::tables(std::string_view key, std::string_view expected) {
    const Node* node = required(key, expected);
    if (node == nullptr) return {};
    const bool right = node->kind == Node::Kind::array && !node->elements.empty() &&
                       std::ranges::all_of(node->elements, [](const Node& element) {
                           return element.kind == Node::Kind::table;
                       });
    if (right) return node->elements;
    source_->error(node->place,
                   fmt::format("{} is not a list of tables; expected {}", called(key), expected));
    return {};
}

std::vector<double> TableReader::optional_quantities(std::string_view key, Quantity quantity, Range range) {
    std::vector<double> values;
    const Node* node = optional(key);
    if (node == nullptr) return values;
    if (node->kind != Node::Kind::array) {
        wrong_kind(*node, key, fmt::format("a list in which each value is {}", description_of(quantity)));
        return values;
    }
    for (const Node& element : node->elements)
        values.push_back(quantity_of(element, key, quantity, range).value_or(0));
    return values;
}

std::vector<double> TableReader::numbers(std::string_view key, std::size_t count, Range range) {
    const std::string expected = fmt::format("a list of {} plain numbers", count);
    std::vector<double> values(count, 0);
    const Node* node = required(key, expected);
    if (node == nullptr) return values;
    if (node->kind != Node::Kind::array || node->elements.size() != count) {
        source_->error(
            node->place,
            node->kind != Node::Kind::array
                ? fmt::format("{} is {}; expected {}", called(key), name_of(node->kind), expected)
                : fmt::format("{} has {} values; expected {}", called(key), node->elements.size(), expected));
        return values;
    }
    for (std::size_t i = 0; i < count; ++i) values[i] = number_of(node->elements[i], key, range).value_or(0);
    return values;
}

void TableReader::unknown_word(const Node& node, std::span<const std::string_view> words) {
    std::string list;
    for (const std::string_view word : words)
        list.append(list.empty() ? "\"" : ", \"").append(word).append("\"");
    source_->error(
        node.place,
        fmt::format("{} is not known; expected one of {}{}", shown(node), list,
                    node.kind == Node::Kind::string ? suggestion(node.string, words, "word") : ""));
}

void TableReader::name_misspelt() {
    // A key that the table has is not the key that somebody meant to write.
    std::vector<std::string_view> absent;
    for (const std::string& key : known_)
        if (find(*table_, key) == nullptr) absent.push_back(key);
    for (const Member& member : table_->members) {
        if (std::ranges::find(known_, member.key) != known_.end()) continue;
        const auto meant = std::ranges::find(missing_, nearest(member.key, absent), &Missing::key);
        if (meant == missing_.end()) continue;
        source_->errors[meant->error] = {source_->file, member.place.line, member.place.column,
                                         fmt::format("unknown key \"{}\"{}{}; expected \"{}\"", member.key,
                                                     name_.empty() ? "" : " in ", name_, meant->key)};
        misspelt_.push_back(&member);
        missing_.erase(meant);
    }
}

void TableReader::close() {
    name_misspelt();
    const std::vector<std::string_view> known(known_.begin(), known_.end());
    std::optional<std::size_t> strange;  // the first error about a key that resembles no known key
    std::size_t more = 0;
    for (const Member& member : table_->members) {
        if (std::ranges::find(known, member.key) != known.end() ||
            std::ranges::find(misspelt_, &member) != misspelt_.end())
            continue;
        const std::string near = suggestion(member.key, known, "key");
        if (near.empty() && strange) {
            ++more;
            continue;
        }
        if (near.empty()) strange = source_->errors.size();
        source_->error(member.place, fmt::format("unknown key \"{}\"{}{}{}", member.key,
                                                 name_.empty() ? "" : " in ", name_, near));
    }
    if (more != 0) source_->errors[*strange].message += fmt::format(" (and {} more keys)", more);
}

}  // namespace freshet::config
