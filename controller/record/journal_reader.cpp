// Reads names back into codes with the tables that wrote the names.
#include "controller/record/journal_reader.hpp"

#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <optional>

#include "controller/words/detail_table.hpp"
#include "controller/words/instant.hpp"
#include "hal/store/read_file.hpp"

namespace freshet::record {
namespace {

using ParsedJson = nlohmann::json;

template <class Value>
using Result = tl::expected<Value, store::StoreError>;

tl::unexpected<store::StoreError> wrong(std::string what) {
    return tl::make_unexpected(store::StoreError{": " + std::move(what)});
}

Result<std::string> text_of(const ParsedJson& line, const char* key) {
    const auto at = line.find(key);
    if (at == line.end()) return wrong(std::string("the key \"") + key + "\" is missing");
    if (!at->is_string()) return wrong(std::string("\"") + key + "\" is not a text");
    return at->get<std::string>();
}

/// Returns a count from 1, or 0 for null.
Result<std::uint32_t> count_of(const ParsedJson& line, const char* key) {
    const auto at = line.find(key);
    if (at == line.end()) return wrong(std::string("the key \"") + key + "\" is missing");
    if (at->is_null()) return 0U;
    if (!at->is_number_unsigned() || *at == 0 ||
        at->get<std::uint64_t>() > std::numeric_limits<std::uint32_t>::max()) {
        return wrong(std::string("\"") + key + "\" is not a count from 1");
    }
    return at->get<std::uint32_t>();
}

using Code = std::optional<std::uint8_t>;

/// Finds the code of a name in the table of the caller.
auto code_named(std::string_view name) {
    return [name](const auto& table) -> Code {
        const auto code = words::code_of(table, name);
        if (!code) return std::nullopt;
        return static_cast<std::uint8_t>(*code);
    };
}

Result<double> value_of(const ParsedJson& values, const words::Value& value) {
    const auto at = values.find(value.name);
    if (at == values.end()) return wrong("the value \"" + std::string(value.name) + "\" is missing");
    if (at->is_null()) return std::nan("");
    if (at->is_number()) return at->get<double>();
    if (at->is_string()) {
        const auto name = at->get<std::string>();
        if (const Code code = words::with_value_table<Code>(value.unit, code_named(name))) return *code;
    }
    return wrong("the value \"" + std::string(value.name) + "\" cannot be read");
}

Result<core::Event> event_of(const ParsedJson& line) {
    core::Event event;
    const auto number = count_of(line, "seq");
    if (!number) return tl::make_unexpected(number.error());
    const auto what = text_of(line, "what");
    if (!what) return tl::make_unexpected(what.error());
    const auto detail = text_of(line, "detail");
    if (!detail) return tl::make_unexpected(detail.error());
    const auto pump = count_of(line, "pump");
    if (!pump) return tl::make_unexpected(pump.error());
    const auto why = text_of(line, "why");
    if (!why) return tl::make_unexpected(why.error());
    const auto cause = count_of(line, "cause");
    if (!cause) return tl::make_unexpected(cause.error());

    const auto kind = words::code_of(words::event_kinds, *what);
    if (!kind) return wrong("there is no kind of event \"" + *what + "\"");
    const Code code = words::with_detail_table<Code>(*kind, *pump != 0, code_named(*detail));
    if (!code) return wrong("\"" + *detail + "\" is not a detail of \"" + *what + "\"");
    const auto reason = words::code_of(words::reasons, *why);
    if (!reason) return wrong("there is no reason \"" + *why + "\"");
    if (*pump > core::pumps_max) return wrong("a station has at most 8 pumps");
    event.number = *number;
    event.cause_number = *cause;
    event.what = *kind;
    event.detail = *code;
    event.pump = *pump == 0 ? core::no_pump : static_cast<std::uint8_t>(*pump - 1);
    event.why = *reason;

    const auto values = line.find("values");
    if (values == line.end() || !values->is_object()) return wrong("\"values\" is missing");
    const auto& expected = words::word(*reason).values;
    for (std::size_t i = 0; i < expected.size() && !expected[i].name.empty(); ++i) {
        const auto value = value_of(*values, expected[i]);
        if (!value) return tl::make_unexpected(value.error());
        event.values[i] = *value;
    }
    return event;
}

}  // namespace

tl::expected<JournalEntry, store::StoreError> parse_journal_line(std::string_view line) {
    ParsedJson json;
    try {
        json = ParsedJson::parse(line);
    } catch (const ParsedJson::parse_error& error) {
        return tl::make_unexpected(
            store::StoreError{":" + std::to_string(error.byte) + ": this is not a JSON object"});
    }
    if (!json.is_object()) return wrong("this is not a JSON object");
    const auto time = text_of(json, "time");
    if (!time) return tl::make_unexpected(time.error());
    const auto time_ms = words::parse_instant(*time);
    if (!time_ms) return wrong("\"" + *time + "\" is not an RFC 3339 time");
    const auto event = event_of(json);
    if (!event) return tl::make_unexpected(event.error());
    return JournalEntry{*time_ms, *event};
}

tl::expected<Journal, store::StoreError> read_journal(const std::filesystem::path& path) {
    const auto text = store::read_file(path);
    if (!text)
        return tl::make_unexpected(
            store::StoreError{text.error().message + "; expected the path of a journal.jsonl"});
    Journal journal;
    std::vector<JournalEntry>& entries = journal.entries;
    std::size_t line_number = 0;
    for (std::size_t begin = 0; begin < text->size();) {
        const std::size_t end = text->find('\n', begin);
        journal.cut_off = end == std::string::npos;
        if (journal.cut_off) break;
        ++line_number;
        auto entry = parse_journal_line(std::string_view(*text).substr(begin, end - begin));
        const std::string place = path.string() + ":" + std::to_string(line_number);
        if (!entry) return tl::make_unexpected(store::StoreError{place + entry.error().message});
        if (!entries.empty() && entry->event.number != entries.back().event.number + 1) {
            return tl::make_unexpected(
                store::StoreError{place + ": event " + std::to_string(entries.back().event.number + 1) +
                                  " was expected here, not " + std::to_string(entry->event.number)});
        }
        entries.push_back(*entry);
        begin = end + 1;
    }
    return journal;
}

}  // namespace freshet::record
