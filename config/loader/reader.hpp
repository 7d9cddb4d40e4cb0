// Typed reading of a table. The caller reads each key by name; a key that nobody reads is an error.
// One reason to change: how a file's values are read and refused.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "config/engineering/findings.hpp"
#include "config/loader/document.hpp"
#include "config/loader/errors.hpp"
#include "config/loader/nearest.hpp"
#include "config/loader/units.hpp"

namespace freshet::config {

/// A file being read: its name, the units, and the errors found so far.
struct Source {
    std::string file;
    const Units& units;
    Errors errors;

    void error(Place place, std::string message) {
        errors.push_back({file, place.line, place.column, std::move(message)});
    }
};

/// Reports what the engineering rules found, each at the place of its value in the document.
void report(Source& source, const Node& document, const Findings& findings);

/// The values that a quantity may have, in SI.
struct Range {
    double least = -std::numeric_limits<double>::infinity();
    double most = std::numeric_limits<double>::infinity();
    bool least_excluded = false;
};
inline constexpr Range any{};
inline constexpr Range positive{.least = 0, .least_excluded = true};
inline constexpr Range not_negative{.least = 0};
inline constexpr Range fraction{.least = 0, .most = 1};

/// A word of a file and the value it stands for.
template <class Value>
struct Word {
    std::string_view word;
    Value value;
};

/// Reads one table. A required value that is missing or wrong is reported and comes back as zero, so that the
/// reading continues and finds the other errors. The result is valid only if the source has no errors in the
/// end.
class TableReader {
  public:
    /// Messages call the table by `name`: "[pump]", or "" for the document itself.
    TableReader(Source& source, const Node& table, std::string name);

    Source& source() const { return *source_; }
    const Node& node() const { return *table_; }
    const std::string& name() const { return name_; }
    Place place() const;

    /// The value of a key, or null. The key is known from then on.
    const Node* optional(std::string_view key);
    /// The same, but a missing key is an error that says what is expected.
    const Node* required(std::string_view key, std::string_view expected);

    double quantity(std::string_view key, Quantity quantity, Range range = any);
    std::optional<double> optional_quantity(std::string_view key, Quantity quantity, Range range = any);
    /// A duration as whole milliseconds.
    std::int32_t milliseconds(std::string_view key, Range range = not_negative);
    std::optional<std::int32_t> optional_milliseconds(std::string_view key, Range range = not_negative);
    /// A plain number without a unit.
    double number(std::string_view key, Range range = any);
    std::optional<double> optional_number(std::string_view key, Range range = any);
    std::int64_t integer(std::string_view key, std::int64_t least, std::int64_t most);
    bool boolean(std::string_view key);
    std::optional<bool> optional_boolean(std::string_view key);
    std::string string(std::string_view key, std::string_view expected);
    /// An instant with its offset from UTC, as Unix milliseconds.
    std::int64_t instant(std::string_view key);

    template <class Value>
    Value word(std::string_view key, std::span<const Word<Value>> words) {
        return deciding_word(key, words).value_or(words.front().value);
    }
    /// The same for a word on which other keys depend. Nothing after an error, so that the caller skips those
    /// keys.
    template <class Value>
    std::optional<Value> deciding_word(std::string_view key, std::span<const Word<Value>> words) {
        const Node* node = required(key, "one of " + listed(words));
        return node != nullptr ? word_of(*node, words) : std::nullopt;
    }
    template <class Value>
    std::optional<Value> optional_word(std::string_view key, std::span<const Word<Value>> words) {
        const Node* node = optional(key);
        return node != nullptr ? word_of(*node, words) : std::nullopt;
    }

    /// A table within this table; null after an error when the key is missing or holds no table.
    const Node* table(std::string_view key, std::string_view expected);
    /// An array of tables (both notations); empty after an error.
    std::span<const Node> tables(std::string_view key, std::string_view expected);
    /// An array of quantities; empty after an error.
    std::vector<double> optional_quantities(std::string_view key, Quantity quantity, Range range);
    std::vector<double> numbers(std::string_view key, std::size_t count, Range range);

    /// Reports that a key is missing which the file needs. `message` says what is wrong and what is expected.
    void missing(std::string_view key, std::string message);

    /// Reports every key that nobody read. A misspelt key that the file needs is one error, with the expected
    /// key. Any other key is an error with the nearest known key. Keys that resemble no known key are reported
    /// together, because they most likely have one cause.
    void close();
    /// The misspelt keys only, for a caller that reads no further.
    void name_misspelt();

    /// "[pump] curve" or "curve": the name of a key of this table in messages.
    std::string called(std::string_view key) const;
    /// "[pump.curve]": the name of a table within this table in messages.
    std::string name_within(std::string_view key) const;

  private:
    std::optional<double> quantity_of(const Node& node, std::string_view key, Quantity quantity, Range range);
    std::optional<double> number_of(const Node& node, std::string_view key, Range range);
    bool in_range(const Node& node, std::string_view key, double value, Range range, std::string_view unit);
    void wrong_kind(const Node& node, std::string_view key, std::string_view expected);
    void unknown_word(const Node& node, std::span<const std::string_view> words);

    template <class Value>
    static std::string listed(std::span<const Word<Value>> words) {
        std::string list;
        for (const auto& word : words)
            list.append(list.empty() ? "\"" : ", \"").append(word.word).append("\"");
        return list;
    }
    template <class Value>
    std::optional<Value> word_of(const Node& node, std::span<const Word<Value>> words) {
        if (node.kind == Node::Kind::string)
            for (const auto& word : words)
                if (word.word == node.string) return word.value;
        std::vector<std::string_view> known;
        for (const auto& word : words) known.push_back(word.word);
        unknown_word(node, known);
        return std::nullopt;
    }

    /// A key that the file needs and does not have, and the error about the key.
    struct Missing {
        std::string key;
        std::size_t error = 0;
    };

    Source* source_;
    const Node* table_;
    std::string name_;
    std::vector<std::string> known_;
    std::vector<Missing> missing_;
    std::vector<const Member*> misspelt_;
};

/// Runs `read` on a required table within `parent` and refuses the keys that `read` left. Says whether the
/// table exists and has no errors.
template <class Read>
bool in_table(TableReader& parent, std::string_view key, std::string_view expected, Read read) {
    const Node* node = parent.table(key, expected);
    if (node == nullptr) return false;
    const std::size_t errors = parent.source().errors.size();
    TableReader reader(parent.source(), *node, parent.name_within(key));
    read(reader);
    reader.close();
    return parent.source().errors.size() == errors;
}

/// The same for an optional table. Says whether the table exists.
template <class Read>
bool in_optional_table(TableReader& parent, std::string_view key, Read read) {
    if (parent.optional(key) == nullptr) return false;
    in_table(parent, key, "a table", read);
    return true;
}

/// Runs `read` on each table of a required list.
template <class Read>
void in_each(TableReader& parent, std::string_view key, std::string_view expected, Read read) {
    for (const Node& node : parent.tables(key, expected)) {
        TableReader reader(parent.source(), node, parent.name_within(key));
        read(reader);
        reader.close();
    }
}

/// The same for an optional list.
template <class Read>
void in_each_if_given(TableReader& parent, std::string_view key, std::string_view expected, Read read) {
    if (parent.optional(key) != nullptr) in_each(parent, key, expected, read);
}

}  // namespace freshet::config
