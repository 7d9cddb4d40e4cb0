// Compiles a field map into reads.
// One reason to change: see the header.
#include "hal/modbus/field_plan.hpp"

#include <algorithm>
#include <array>
#include <tuple>

#include <fmt/format.h>

#include "hal/modbus/request_limits.hpp"
#include "hal/modbus/word_codec.hpp"

namespace freshet::modbus {
namespace {

using config::FieldEntry;
using config::is_bit_table;
using config::signal_name;
using config::SignalIndex;
using config::StationSignal;
using config::WordType;

std::size_t addresses_of(const FieldEntry& entry) {
    return is_bit_table(entry.table) ? 1 : words_of(entry.type);
}

/// The place of an entry among all addresses of the site, without regard to poll groups.
auto place(const FieldEntry& entry) {
    return std::tuple(entry.unit_id, entry.table, entry.address, entry.bit, entry.line);
}

std::string where(const std::string& file, const FieldEntry& entry) {
    return fmt::format("{}:{}:{}", file, entry.line, entry.column);
}

/// The other transmitter signal with the same measurement, when there is one.
std::optional<SignalIndex> other_form(SignalIndex signal) {
    struct Pair {
        StationSignal loop, value;
    };
    constexpr Pair pairs[] = {{StationSignal::level_1_loop, StationSignal::level_1},
                              {StationSignal::level_2_loop, StationSignal::level_2},
                              {StationSignal::header_pressure_loop, StationSignal::header_pressure}};
    for (const Pair& pair : pairs) {
        if (signal == config::index_of(pair.loop)) return config::index_of(pair.value);
    }
    return std::nullopt;
}

void find_doubles(const config::FieldMap& map, std::vector<std::string>& errors) {
    std::array<const FieldEntry*, config::signal_count> seen{};
    for (const FieldEntry& entry : map.entries) seen[entry.signal] = &entry;
    for (const FieldEntry& entry : map.entries) {
        const auto other = other_form(entry.signal);
        if (other && seen[*other] != nullptr) {
            errors.push_back(
                fmt::format("{}: {} and {} are both mapped (lines {} and {}); expected the loop current "
                            "or the value",
                            where(map.file, entry), signal_name(entry.signal), signal_name(*other),
                            entry.line, seen[*other]->line));
        }
    }
}

bool continues(const Block& block, const FieldEntry& entry) {
    const std::size_t limit = is_bit_table(block.table) ? bits_per_read_max : registers_per_read_max;
    const std::size_t end =
        std::max<std::size_t>(block.count, entry.address + addresses_of(entry) - block.address);
    return block.group == entry.group && block.unit_id == entry.unit_id && block.table == entry.table &&
           entry.address <= block.address + block.count && end <= limit;
}

void add_to_block(Block& block, const FieldEntry& entry) {
    const std::size_t end = entry.address + addresses_of(entry) - block.address;
    block.count = static_cast<std::uint16_t>(std::max<std::size_t>(block.count, end));
    ++block.entries;
}

/// Gives every block its words of the image, and every entry its place in them.
void place_in_image(FieldPlan& plan) {
    for (Block& block : plan.blocks) {
        const bool bits = is_bit_table(block.table);
        const std::size_t words = bits ? (block.count + 15U) / 16U : block.count;
        block.first_word = plan.image_words;
        block.words = (words + 3) / 4 * 4;
        plan.image_words += block.words;
        for (std::size_t i = block.first_entry; i < block.first_entry + block.entries; ++i) {
            PlannedEntry& entry = plan.entries[i];
            const std::size_t at = entry.field.address - block.address;
            entry.word = block.first_word + (bits ? at / 16 : at);
            entry.bit = bits ? static_cast<std::uint8_t>(at % 16) : entry.field.bit;
            if (bits) entry.field.type = WordType::bit;
        }
    }
}

}  // namespace

tl::expected<FieldPlan, std::vector<std::string>> compile(const config::FieldMap& map) {
    std::vector<std::string> errors;
    for (const FieldEntry& entry : map.entries) {
        if (entry.group >= map.groups.size() || entry.signal >= config::signal_count) {
            errors.push_back(fmt::format("{}: an entry names a poll group or a signal that does not exist",
                                         where(map.file, entry)));
        }
    }
    if (!errors.empty()) return tl::unexpected(std::move(errors));

    std::vector<FieldEntry> sorted = map.entries;
    std::sort(sorted.begin(), sorted.end(),
              [](const FieldEntry& a, const FieldEntry& b) { return place(a) < place(b); });
    find_doubles(map, errors);
    if (!errors.empty()) return tl::unexpected(std::move(errors));

    std::stable_sort(sorted.begin(), sorted.end(),
                     [](const FieldEntry& a, const FieldEntry& b) { return a.group < b.group; });
    FieldPlan plan{.name = map.name,
                   .file = map.file,
                   .groups = map.groups,
                   .blocks = {},
                   .entries = {},
                   .image_words = 0,
                   .clock_block = std::nullopt};
    for (const FieldEntry& entry : sorted) {
        if (plan.blocks.empty() || !continues(plan.blocks.back(), entry)) {
            Block block;
            block.unit_id = entry.unit_id;
            block.group = entry.group;
            block.table = entry.table;
            block.address = entry.address;
            block.first_entry = plan.entries.size();
            plan.blocks.push_back(block);
        }
        add_to_block(plan.blocks.back(), entry);
        plan.entries.push_back({entry, 0, 0});
        if (entry.signal == config::index_of(StationSignal::plant_time))
            plan.clock_block = plan.blocks.size() - 1;
    }
    place_in_image(plan);
    return plan;
}

}  // namespace freshet::modbus
