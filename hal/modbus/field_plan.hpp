// A site's field map as a list of read requests.
// One reason to change: how signals are gathered into reads, or which field maps are refused.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "config/field_map.hpp"
#include "config/signals.hpp"

namespace freshet::modbus {

/// One read request: addresses without a hole, all of one unit, table and poll group.
struct Block {
    std::uint8_t unit_id = 0;
    std::uint8_t group = 0;
    config::Table table = config::Table::input_registers;
    std::uint16_t address = 0;   ///< zero-based
    std::uint16_t count = 0;     ///< registers, or bits
    std::size_t first_word = 0;  ///< of the image; bit tables are packed 16 to a word, lowest bit first
    std::size_t words = 0;       ///< a multiple of four; the words after `count` are zero
    std::size_t first_entry = 0, entries = 0;
};

struct PlannedEntry {
    config::FieldEntry field;
    std::size_t word = 0;  ///< of the image
    std::uint8_t bit = 0;  ///< within the word, for bits
};

/// A field map as a list of reads. Entries are sorted by unit, table and address within their poll group.
struct FieldPlan {
    std::string name, file;
    std::vector<config::PollGroup> groups;
    std::vector<Block> blocks;
    std::vector<PlannedEntry> entries;
    std::size_t image_words = 0;
    std::optional<std::size_t> clock_block;  ///< the block that carries plant_time, where the map has it
};

/// Sorts and merges a map from the loader, which refuses addresses that overlap, a signal that is mapped twice
/// and a value past address 65535. Each error is `file:line:column: ...`: a poll group or a signal that does
/// not exist; a transmitter that is mapped both as loop current and as value, with both lines.
tl::expected<FieldPlan, std::vector<std::string>> compile(const config::FieldMap& map);

}  // namespace freshet::modbus
