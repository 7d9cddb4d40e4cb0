// Readings to register images and back, by a site's field map compiled once into a plan of reads.
// One reason to change: how a signal of the dictionary becomes registers, or an input of the core.
//
// The simulated station encodes, the controller decodes, and the bench in one process does both, so that
// every signal passes the same rounding whichever way it travels.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "config/field_map.hpp"
#include "config/signals.hpp"
#include "controller/core/inputs.hpp"
#include "hal/modbus/word_codec.hpp"

namespace freshet::modbus {

/// Limits of one request: MODBUS Application Protocol Specification V1.1b3, 6.1 to 6.4.
inline constexpr std::size_t registers_per_read_max = 125;
inline constexpr std::size_t bits_per_read_max = 2000;

/// The dictionary's name of a signal: "level_1", "pump_2.line_side_closed".
std::string signal_name(config::SignalIndex signal);

/// One read request: addresses without a hole, all of one unit, table and poll group.
struct Block {
    std::uint8_t unit_id = 0;
    std::uint8_t group = 0;
    config::Table table = config::Table::input_registers;
    std::uint16_t address = 0;   ///< zero-based
    std::uint16_t count = 0;     ///< registers, or bits
    std::size_t first_word = 0;  ///< of the image; bit tables are packed 16 to a word, lowest bit first
    std::size_t words = 0;       ///< a multiple of four; the rest after `count` is zero
    std::size_t first_entry = 0, entries = 0;
};

struct PlannedEntry {
    config::FieldEntry field;
    std::size_t word = 0;  ///< of the image
    std::uint8_t bit = 0;  ///< within the word, for bits
};

/// A field map as a list of reads. Entries stand sorted by unit, table and address within their poll group.
struct FieldPlan {
    std::string name, file;
    std::vector<config::PollGroup> groups;
    std::vector<Block> blocks;
    std::vector<PlannedEntry> entries;
    std::size_t image_words = 0;
    std::optional<std::size_t> clock_block;  ///< the block that carries plant_time, where the map has it
};

/// Sorts and merges. Errors, each `file:line:column: ...` and naming both lines: addresses that overlap, a
/// signal mapped twice, a transmitter mapped both as loop current and as value, a value past address 65535.
tl::expected<FieldPlan, std::vector<std::string>> compile(const config::FieldMap& map);

/// Which poll groups are due, by station time alone: a group is due in the first scan of each of its periods.
class PollSchedule {
  public:
    explicit PollSchedule(const FieldPlan& plan);
    /// Marks what is due at `now_ms`; ask `due` afterwards.
    void advance(std::int64_t now_ms);
    bool due(std::uint8_t group) const { return due_[group] != 0; }
    /// Station time of the next reading that falls due after the last `advance`.
    std::int64_t next_due_ms() const;

  private:
    std::vector<std::int64_t> period_ms_, next_ms_;
    std::vector<std::uint8_t> due_;
};

/// Readings to registers. Only signals whose reading changed are written again.
class FieldEncoder {
  public:
    explicit FieldEncoder(const FieldPlan& plan);
    /// The image of all blocks; valid until the next call.
    std::span<const std::uint16_t> encode(const config::Readings& readings);
    /// The image as it stands.
    std::span<const std::uint16_t> image() const { return image_; }
    /// Nothing but the station's clock went on: no entry of this scan counts as changed.
    void stand_still() { changed_count_ = 0; }
    /// The plan's entries whose registers the last call changed, in the dictionary's order.
    std::span<const std::uint16_t> changed() const { return std::span(changed_).first(changed_count_); }

  private:
    struct Entry {
        double scale_inverse, offset;
        RawRange range;
        std::uint32_t word;
        config::WordType type;
        config::WordOrder order;
        std::uint16_t mask;  ///< of the bit
        bool inverted;
    };
    void renew(std::size_t signal, const config::Readings& readings);
    void write(std::uint16_t index, double reading);

    static constexpr std::uint16_t unmapped = 0xFFFF;
    std::vector<Entry> entries_;
    std::array<std::uint16_t, config::signal_count> entry_of_{};
    std::array<std::uint64_t, config::signal_count + 4> last_bits_{};
    std::array<std::uint16_t, config::signal_count> changed_{};
    std::size_t changed_count_ = 0;
    std::size_t signals_ = 0;
    bool fresh_ = true;
    std::vector<std::uint16_t> image_;
};

/// Registers to the inputs of a scan. Words that did not change are not decoded again; their time of reading
/// is renewed.
class FieldDecoder {
  public:
    explicit FieldDecoder(const FieldPlan& plan);
    FieldDecoder(const FieldDecoder&) = delete;
    FieldDecoder& operator=(const FieldDecoder&) = delete;

    /// A block was read at station time `read_ms`; `words` points to `Block::words` words.
    void take(std::size_t block, const std::uint16_t* words, std::int64_t read_ms);
    /// The same for a caller that knows which of the block's entries may have changed since it was last
    /// taken; `image` is that of all blocks.
    void take_changed(std::size_t block, std::span<const std::uint16_t> image,
                      std::span<const std::uint16_t> entries, std::int64_t read_ms);
    /// A block could not be read: its signals take that cause and keep their last value, its quality and its
    /// time. An answer missed now and then is no news of the station; how old a reading may be is for the
    /// core.
    void fail(std::size_t block, core::Cause cause);
    /// The inputs as they stand, dated `now_ms`.
    const core::Inputs& inputs_at(std::int64_t now_ms) {
        inputs_.time_ms = now_ms;
        return inputs_;
    }
    const Block& block(std::size_t index) const { return blocks_[index]; }
    /// The plant's clock as last read; nothing before the first reading.
    std::optional<std::int64_t> plant_time_ms() const { return plant_time_ms_; }

  private:
    enum class Goal : std::uint8_t { number, digital, selector, plant_time };
    struct Target {
        double* number = nullptr;
        bool* on = nullptr;
        core::Selector* selector = nullptr;
        std::int64_t* read_ms = nullptr;
        core::Quality* quality = nullptr;
        core::Cause* cause = nullptr;
    };
    struct Entry {
        double scale, offset;
        Target target;
        std::uint32_t word;
        Goal goal;
        config::WordType type;
        config::WordOrder order;
        std::uint8_t bit;
        bool inverted;
    };
    Target target_of(config::SignalIndex signal);
    void decode(std::size_t index);
    void decode_changed_words(std::size_t first_word, std::uint64_t changed);
    void renew_times(std::size_t block, std::int64_t read_ms);

    core::Inputs inputs_;
    std::optional<std::int64_t> plant_time_ms_;
    std::vector<Block> blocks_;
    std::vector<Entry> entries_;
    std::vector<std::int64_t*> read_ms_;  ///< by entry; an undecodable entry's points to `unused_time_`
    std::vector<std::uint32_t>
        entries_of_word_;  ///< rows: entries_of_word_[first_of_word_[w] .. first_of_word_[w + 1])
    std::vector<std::uint32_t> first_of_word_;
    std::vector<std::uint16_t> last_;
    std::vector<std::uint8_t> renew_;              ///< by block: decode everything at the next reading
    std::int64_t unused_time_ = 0;
    core::Quality unused_quality_ = core::Quality::bad;
    core::Cause unused_cause_ = core::Cause::none;
};

}  // namespace freshet::modbus
