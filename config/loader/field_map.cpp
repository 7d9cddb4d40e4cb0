// Reads a field map: blocks of registers. Each block lists its signals.
// One reason to change: the notation of a field map.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "config/loader/read.hpp"
#include "config/loader/reader.hpp"
#include "config/loader/register_ranges.hpp"

namespace freshet::config {
namespace {

/// The names of the values from `first` on, in the enum's order.
template <class Value, std::size_t Size>
constexpr std::array<Word<Value>, Size> words_from(Value first) {
    std::array<Word<Value>, Size> words{};
    for (std::size_t i = 0; i < Size; ++i) {
        const auto value = static_cast<Value>(static_cast<std::size_t>(first) + i);
        words[i] = {name_of(value), value};
    }
    return words;
}
constexpr auto tables = words_from<Table, 4>(Table::coils);
constexpr auto types = words_from<WordType, 6>(WordType::u16);  // a bit needs no type in a file
constexpr auto orders = words_from<WordOrder, 4>(WordOrder::abcd);

/// All names that a map may use: the station's signals, and each pump's.
std::vector<std::string> signal_names() {
    std::vector<std::string> names;
    for (std::size_t i = 0; i < signal_count; ++i) names.push_back(signal_name(static_cast<SignalIndex>(i)));
    return names;
}

struct Block {
    std::uint8_t unit_id = 1, group = 0;
    Table table = Table::input_registers;
    bool table_known = false;
};

class MapReader {
  public:
    explicit MapReader(Source& source)
        : source_(&source), names_(signal_names()), known_(names_.begin(), names_.end()) {}

    void read(TableReader& document) {
        map_.file = source_->file;
        in_table(document, "map", "a [map] table", [&](TableReader& table) {
            map_.name = table.string("name", "a name");
            order_ = table.word("word_order", std::span<const Word<WordOrder>>(orders));
        });
        in_each(document, "group", "one or more [[group]] tables", [&](TableReader& table) {
            PollGroup group;
            group.name = table.string("name", "a name");
            group.period_ms = table.milliseconds("period", {0.02, 3600});
            map_.groups.push_back(group);
        });
        in_each(document, "block", "one or more [[block]] tables",
                [&](TableReader& table) { read_block(table); });
        if (!source_->errors.empty()) return;  // an entry with errors would seem to overlap others
        refuse_repeats();
        refuse_overlaps();
    }

    FieldMap take() { return std::move(map_); }

  private:
    void read_block(TableReader& table) {
        Block block;
        block.unit_id = static_cast<std::uint8_t>(table.integer("unit", 0, 255));
        const std::size_t errors_before = source_->errors.size();
        block.table = table.word("table", std::span<const Word<Table>>(tables));
        block.table_known = source_->errors.size() == errors_before;
        std::vector<Word<std::uint8_t>> groups;
        for (std::size_t i = 0; i < map_.groups.size(); ++i)
            groups.push_back({map_.groups[i].name, static_cast<std::uint8_t>(i)});
        if (groups.empty()) groups.push_back({"", 0});
        block.group = table.word("group", std::span<const Word<std::uint8_t>>(groups));
        in_each(table, "signals", "a list of { signal, address, ... }",
                [&](TableReader& entry) { read_entry(entry, block); });
    }

    void read_entry(TableReader& table, const Block& block) {
        FieldEntry entry;
        entry.unit_id = block.unit_id;
        entry.table = block.table;
        entry.group = block.group;
        entry.line = table.place().line;
        entry.column = table.place().column;
        const std::string name = table.string("signal", "the name of a signal");
        const auto known = std::ranges::find(names_, name);
        entry.address = static_cast<std::uint16_t>(table.integer("address", 0, 65535));
        entry.order = table.optional_word("order", std::span<const Word<WordOrder>>(orders)).value_or(order_);
        if (known == names_.end() || !block.table_known) {
            // The other keys depend on the signal and the table, so the reader checks none of them.
            for (const char* key : {"type", "bit", "scale", "zero", "inverted"}) table.optional(key);
            if (known == names_.end() && !name.empty()) {
                const std::string_view near = nearest(name, known_);
                source_->error(
                    table.optional("signal")->place,
                    fmt::format("unknown signal \"{}\"{}", name,
                                near.empty() ? "" : fmt::format("; nearest known signal \"{}\"", near)));
            }
            return;
        }
        entry.signal = static_cast<SignalIndex>(known - names_.begin());
        const SignalDefinition& definition = definition_of(entry.signal);
        if (definition.kind == SignalKind::digital)
            read_bit(table, entry);
        else
            read_words(table, definition, entry);
        if (entry.address + words_of(entry.type) > 65536U)
            source_->error(table.place(),
                           fmt::format("\"{}\" extends past address 65535; expected a lower address", name));
        map_.entries.push_back(entry);
        places_.push_back(table.place());
    }

    void read_bit(TableReader& table, FieldEntry& entry) {
        entry.type = WordType::bit;
        entry.inverted = table.optional_boolean("inverted").value_or(false);
        if (!is_bit_table(entry.table)) entry.bit = static_cast<std::uint8_t>(table.integer("bit", 0, 15));
    }

    void read_words(TableReader& table, const SignalDefinition& definition, FieldEntry& entry) {
        if (is_bit_table(entry.table))
            source_->error(table.place(), fmt::format("\"{}\" is a number, but a table of bits cannot hold a "
                                                      "number; expected input_registers or holding_registers",
                                                      definition.name));
        entry.type = table.word("type", std::span<const Word<WordType>>(types));
        if (definition.kind == SignalKind::number) return;
        const std::string expected =
            fmt::format("a number of {} per count, such as \"0.01 {}\"", definition.unit, definition.unit);
        const auto linear = [&](std::string_view key, const Node* node) -> std::optional<Units::Linear> {
            if (node == nullptr) return std::nullopt;
            if (node->kind != Node::Kind::string) {
                source_->error(node->place, fmt::format("{} is {}; expected {}", table.called(key),
                                                        name_of(node->kind), expected));
                return std::nullopt;
            }
            const auto value = source_->units.linear(node->string, definition.unit, expected);
            if (!value) source_->error(node->place, fmt::format("{}: {}", table.called(key), value.error()));
            return value ? std::optional(*value) : std::nullopt;
        };
        const Node* scale_node = table.required("scale", expected);
        const auto scale = linear("scale", scale_node);
        const auto zero = linear("zero", table.optional("zero"));
        if (scale && (scale->factor == 0 || !std::isfinite(scale->factor)))
            source_->error(scale_node->place, fmt::format("{} is {:g}; expected a value other than 0",
                                                          table.called("scale"), scale->factor));
        entry.scale = scale ? scale->factor : 1;
        entry.offset = zero ? zero->factor + zero->zero : scale ? scale->zero : 0;
    }

    void refuse_repeats() {
        for (std::size_t i = 0; i < map_.entries.size(); ++i)
            for (std::size_t j = 0; j < i; ++j)
                if (map_.entries[i].signal == map_.entries[j].signal) {
                    source_->error(
                        places_[i],
                        fmt::format("signal \"{}\" is already in line {}; expected each signal once",
                                    names_[map_.entries[i].signal], map_.entries[j].line));
                    break;
                }
    }

    void refuse_overlaps() {
        const auto meet = [](const FieldEntry& a, const FieldEntry& b) {
            if (a.unit_id != b.unit_id || a.table != b.table) return false;
            if (a.address + words_of(a.type) <= b.address || b.address + words_of(b.type) <= a.address)
                return false;
            const bool both_bits =
                a.type == WordType::bit && b.type == WordType::bit && !is_bit_table(a.table);
            return !both_bits || a.bit == b.bit;
        };
        for (std::size_t i = 0; i < map_.entries.size(); ++i)
            for (std::size_t j = 0; j < i; ++j)
                if (meet(map_.entries[i], map_.entries[j]))
                    source_->error(
                        places_[i],
                        fmt::format(
                            "\"{}\" overlaps \"{}\" of line {} at address {}; expected an address of its own",
                            names_[map_.entries[i].signal], names_[map_.entries[j].signal],
                            map_.entries[j].line,
                            std::max(map_.entries[i].address, map_.entries[j].address)));
    }

    Source* source_;
    std::vector<std::string> names_;
    std::vector<std::string_view> known_;
    FieldMap map_;
    std::vector<Place> places_;
    WordOrder order_ = WordOrder::abcd;
};

}  // namespace

Errors check_together(const FieldMap& map, const StationFile& file) {
    Errors errors;
    std::array<bool, signal_count> present{};
    for (const FieldEntry& entry : map.entries) {
        present.at(entry.signal) = true;
        if (entry.signal < station_signals.size()) continue;
        const std::size_t pump = (entry.signal - station_signals.size()) / pump_signals.size();
        if (pump >= file.station.pump_count)
            errors.push_back(
                {map.file, entry.line, entry.column,
                 fmt::format(
                     "there is no pump {}, because \"{}\" has {} pumps; expected signals of those pumps only",
                     pump + 1, file.station.name, file.station.pump_count)});
    }
    const auto need = [&](std::string_view name, bool there) {
        if (!there)
            errors.push_back(
                {map.file, 1, 1,
                 fmt::format("signal \"{}\" is missing; \"{}\" needs it", name, file.station.name)});
    };
    const auto either = [&](StationSignal loop, StationSignal value) {
        need(station_signals.at(index_of(loop)).name,
             present.at(index_of(loop)) || present.at(index_of(value)));
    };
    using enum StationSignal;
    if (file.settings.level_transmitter[0].fitted) either(level_1_loop, level_1);
    if (file.settings.level_transmitter[1].fitted) either(level_2_loop, level_2);
    const bool limits_pressure = file.settings.permissives.discharge_pressure_max_m > 0;
    if (file.settings.measured == core::Measured::header_pressure || limits_pressure)
        either(header_pressure_loop, header_pressure);
    std::vector<StationSignal> needed{emergency_stop,  line_voltage,  line_frequency, drive_ready,
                                      drive_running,   drive_tripped, drive_in_sync,  drive_output_closed,
                                      drive_frequency, drive_voltage, drive_angle};
    if (file.settings.floats.fitted) needed.insert(needed.end(), {high_float, low_float});
    for (const StationSignal signal : needed)
        need(station_signals.at(index_of(signal)).name, present.at(index_of(signal)));
    for (std::size_t pump = 0; pump < file.station.pump_count; ++pump)
        for (const PumpSignal signal : {PumpSignal::drive_side_closed, PumpSignal::line_side_closed,
                                        PumpSignal::tripped, PumpSignal::selector, PumpSignal::current})
            need(fmt::format("pump_{}.{}", pump + 1, pump_signals.at(static_cast<std::size_t>(signal)).name),
                 present.at(index_of(pump, signal)));
    if (errors.empty()) errors = check_register_ranges(map, file);
    return in_order(std::move(errors));
}

tl::expected<FieldMap, Errors> read_field_map(std::string_view text, const std::string& file,
                                              const Units& units) {
    const auto document = parse_document(text, file);
    if (!document) return tl::unexpected(document.error());
    Source source{file, units, {}};
    TableReader reader(source, *document, "");
    MapReader map(source);
    map.read(reader);
    reader.close();
    if (!source.errors.empty()) return tl::unexpected(in_order(std::move(source.errors)));
    return map.take();
}

}  // namespace freshet::config
