// `freshet registers`: the advice map, or a site's field map, as CSV, Markdown or JSON.
// One reason to change: see the header, and the arguments of this command.
#include "sim_plant/command/registers_command.hpp"

#include <algorithm>
#include <cstdio>
#include <string_view>
#include <tuple>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include "config/loader/load.hpp"
#include "controller/words/cautions.hpp"
#include "hal/modbus/advice_map.hpp"
#include "hal/modbus/field_plan.hpp"
#include "hal/service/command_line.hpp"
#include "sim_plant/command/commands.hpp"

namespace freshet::command {
namespace {

using Row = std::vector<std::string>;

/// The reference of an address as people write references: counted from 1, with the customary first digit of
/// the table.
std::string reference(config::Table table, std::uint16_t address) {
    switch (table) {
        case config::Table::coils:
            return fmt::format("{:05}", address + 1);
        case config::Table::discrete_inputs:
            return fmt::format("{}", 10001 + address);
        case config::Table::input_registers:
            return fmt::format("{}", modbus::input_reference(address));
        case config::Table::holding_registers:
            return fmt::format("{}", modbus::holding_reference(address));
    }
    return "";
}

/// RFC 4180: a field with a comma, a quote or a line end is put in quotes.
std::string csv_field(const std::string& text) {
    if (text.find_first_of(",\"\n") == std::string::npos) return text;
    std::string quoted = "\"";
    for (const char letter : text) quoted += letter == '"' ? std::string("\"\"") : std::string(1, letter);
    return quoted + "\"";
}

std::string csv_document(const Row& heading, const std::vector<Row>& rows) {
    std::string text;
    const auto line = [&](const Row& row) {
        for (std::size_t i = 0; i < row.size(); ++i) text += (i == 0 ? "" : ",") + csv_field(row[i]);
        text += "\r\n";
    };
    line(heading);
    for (const Row& row : rows) line(row);
    return text;
}

std::string markdown_document(const std::string& introduction, const Row& heading,
                              const std::vector<Row>& rows) {
    std::string text = introduction + "\n";
    const auto line = [&](const Row& row) {
        for (const std::string& field : row) text += "| " + field + " ";
        text += "|\n";
    };
    line(heading);
    line(Row(heading.size(), "---"));
    for (const Row& row : rows) line(row);
    return text.append("\n").append(words::caution_line) += "\n";
}

std::string json_document(const std::string& name, const Row& heading, const std::vector<Row>& rows) {
    nlohmann::ordered_json json{{"map", name}, {"caution", words::caution_line}};
    json["registers"] = nlohmann::ordered_json::array();
    for (const Row& row : rows) {
        nlohmann::ordered_json one;
        for (std::size_t i = 0; i < row.size(); ++i) one[heading[i]] = row[i];
        json["registers"].push_back(one);
    }
    return json.dump(1, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

/// `introduction`: the text above the table in Markdown.
std::string document(const std::string& name, const std::string& introduction, const Row& heading,
                     const std::vector<Row>& rows, MapForm form) {
    switch (form) {
        case MapForm::csv:
            return csv_document(heading, rows);
        case MapForm::markdown:
            return markdown_document(introduction, heading, rows);
        case MapForm::json:
            return json_document(name, heading, rows);
    }
    return {};
}

std::string not_available_text(config::WordType type) {
    return type == config::WordType::f32
               ? "NaN"
               : fmt::format("0x{:0{}X}", modbus::not_available(type), 4 * config::words_of(type));
}

/// Whether a register can say "not available". Identity, counters, codes and flags always have a value.
bool can_be_missing(const modbus::AdviceRegister& at) {
    return !at.unit.empty() && at.block != "identity" && at.block != "pumps";
}

}  // namespace

std::string advice_map_document(MapForm form) {
    const Row heading = {"address",       "input reference", "holding reference",
                         "name",          "block",           "type",
                         "registers",     "scale",           "unit",
                         "not available", "meaning"};
    std::vector<Row> rows;
    rows.reserve(modbus::advice_registers.size());
    for (const modbus::AdviceRegister& at : modbus::advice_registers) {
        rows.push_back({fmt::format("{}", at.address), fmt::format("{}", modbus::input_reference(at.address)),
                        fmt::format("{}", modbus::holding_reference(at.address)), std::string(at.name.view()),
                        std::string(at.block), std::string(config::name_of(at.type)),
                        fmt::format("{}", at.words()), fmt::format("{}", at.scale), std::string(at.unit),
                        can_be_missing(at) ? not_available_text(at.type) : "", std::string(at.meaning)});
    }
    const std::string name =
        fmt::format("Advice map, version {}.{}", modbus::map_version_major, modbus::map_version_minor);
    return document(
        name,
        "# " + name +
            "\n\nAddresses are zero-based protocol addresses; the references count from 1. Read with "
            "function code 04, or 03 for the same values as holding registers. The server answers every "
            "write with "
            "exception 01. High byte first, high word first. Value = raw x scale.\n",
        heading, rows, form);
}

std::string field_map_document(const config::FieldMap& map, MapForm form) {
    std::vector<config::FieldEntry> entries = map.entries;
    std::sort(entries.begin(), entries.end(), [](const config::FieldEntry& a, const config::FieldEntry& b) {
        return std::tuple(a.unit_id, a.table, a.address, a.bit) <
               std::tuple(b.unit_id, b.table, b.address, b.bit);
    });
    const Row heading = {"unit id", "table", "address", "reference", "bit",        "signal",
                         "type",    "order", "scale",   "offset",    "poll group", "unit"};
    std::vector<Row> rows;
    rows.reserve(entries.size());
    for (const config::FieldEntry& at : entries) {
        const bool bit = at.type == config::WordType::bit;
        rows.push_back({fmt::format("{}", at.unit_id), std::string(config::name_of(at.table)),
                        fmt::format("{}", at.address), reference(at.table, at.address),
                        bit ? fmt::format("{}", at.bit) : "", config::signal_name(at.signal),
                        std::string(config::name_of(at.type)),
                        bit ? "" : std::string(config::name_of(at.order)),
                        bit ? (at.inverted ? "0 is on" : "") : fmt::format("{}", at.scale),
                        bit ? "" : fmt::format("{}", at.offset), map.groups[at.group].name,
                        std::string(config::definition_of(at.signal).unit)});
    }
    const std::string name = "Field map " + map.name;
    return document(name, "# " + name + "\n", heading, rows, form);
}

int registers_command(int argc, char** argv) {
    bool csv = false;
    bool markdown = false;
    bool json = false;
    std::string field_map_file;
    CLI::App app{
        "Prints the advice map: every register that the controller publishes. With --field-map: a site's "
        "map.\n"
        "Example: freshet registers --csv > advice_map.csv"};
    app.name("freshet registers");
    auto* as_csv = app.add_flag("--csv", csv, "comma-separated values (RFC 4180)");
    auto* as_json = app.add_flag("--json", json, "JSON, for programs")->excludes(as_csv);
    app.add_flag("--markdown", markdown, "a Markdown table (this is the default)")
        ->excludes(as_csv)
        ->excludes(as_json);
    app.add_option("--field-map", field_map_file, "print this field map (TOML) instead")->type_name("FILE");
    app.footer("Exit code: 0 good, 2 bad input, 3 failed.");
    if (const auto code = service::read_command_line(app, argc, argv)) return *code;
    const MapForm form = csv ? MapForm::csv : json ? MapForm::json : MapForm::markdown;
    if (field_map_file.empty()) {
        std::fputs(advice_map_document(form).c_str(), stdout);
        return exit_good;
    }
    const auto map = config::load_field_map(field_map_file);
    if (!map) {
        std::fputs(config::text_of(map.error()).c_str(), stderr);
        return exit_bad_input;
    }
    std::fputs(field_map_document(*map, form).c_str(), stdout);
    return exit_good;
}

}  // namespace freshet::command
