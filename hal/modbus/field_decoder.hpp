// A site's registers to the inputs of the core's scan.
// One reason to change: how registers become a value, its quality and its age. Which input a
// signal becomes is in field_targets.hpp.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "config/field_map.hpp"
#include "controller/core/inputs.hpp"
#include "hal/modbus/field_plan.hpp"
#include "hal/modbus/field_targets.hpp"

namespace freshet::modbus {

/// Registers to the inputs of a scan. The decoder decodes only words that changed. All signals of a block have
/// the age of the block, so their ages are written only when that age changes.
class FieldDecoder {
  public:
    explicit FieldDecoder(const FieldPlan& plan);
    FieldDecoder(const FieldDecoder&) = delete;
    FieldDecoder& operator=(const FieldDecoder&) = delete;

    /// A block was read at station time `read_ms`; `words` points to `Block::words` words.
    void take(std::size_t block, const std::uint16_t* words, std::int64_t read_ms);
    /// The same for a caller that knows which of the block's entries may have changed since the block was
    /// last taken; `image` is the image of all blocks.
    void take_changed(std::size_t block, std::span<const std::uint16_t> image,
                      std::span<const std::uint16_t> entries, std::int64_t read_ms) {
        if (entries.empty() && renew_[block] == 0)
            readings_[block].read_ms = read_ms;
        else
            decode_changed(block, image, entries, read_ms);
    }
    /// Call when a block could not be read. Its signals take the cause and keep their last value, quality and
    /// time. One missed answer gives no information about the station, so the core decides how old a reading
    /// may be.
    void fail(std::size_t block, core::Cause cause);
    /// The present inputs, dated `now_ms`.
    const core::Inputs& inputs_at(std::int64_t now_ms) {
        inputs_.time_ms = now_ms;
        for (std::size_t block = 0; block < readings_.size(); ++block) {
            const std::int32_t age_ms = core::age_at_ms(now_ms, readings_[block].read_ms);
            if (age_ms != readings_[block].age_ms) write_ages(block, age_ms);
        }
        for (const Undecodable& one : undecodable_) *one.age_ms = core::age_at_ms(now_ms, one.read_ms);
        return inputs_;
    }
    const Block& block(std::size_t index) const { return blocks_[index]; }
    /// The plant's clock as last read; nothing before the first reading.
    std::optional<std::int64_t> plant_time_ms() const { return plant_time_ms_; }

  private:
    enum class Goal : std::uint8_t { number, digital, selector, plant_time };
    struct Entry {
        double scale, offset;
        InputTarget target;
        std::uint32_t word, block;
        Goal goal;
        config::WordType type;
        config::WordOrder order;
        std::uint8_t bit;
        bool inverted;
    };
    /// The last good reading of a block, and the age that its signals show.
    struct Reading {
        std::int64_t read_ms = core::never_ms;
        std::int32_t age_ms = core::never_read_ms;
    };
    /// A signal whose registers hold no value: its age counts from its last value.
    struct Undecodable {
        std::int32_t* age_ms;
        std::int64_t read_ms;
    };
    void add_entry(const PlannedEntry& planned, std::uint32_t block);
    InputTarget input_of(config::SignalIndex signal);
    void decode(std::size_t index);
    void decode_changed(std::size_t block, std::span<const std::uint16_t> image,
                        std::span<const std::uint16_t> entries, std::int64_t read_ms);
    void decode_changed_words(std::size_t first_word, std::uint64_t changed);
    void date(std::size_t index, bool known);
    void write_ages(std::size_t block, std::int32_t age_ms);

    core::Inputs inputs_;
    std::optional<std::int64_t> plant_time_ms_;
    std::vector<Block> blocks_;
    std::vector<Entry> entries_;
    std::vector<Reading> readings_;    ///< by block
    std::vector<std::int32_t*> ages_;  ///< by entry; an undecodable entry's points to `unused_age_`
    std::vector<Undecodable> undecodable_;
    std::vector<std::uint32_t>
        entries_of_word_;  ///< rows: entries_of_word_[first_of_word_[w] .. first_of_word_[w + 1])
    std::vector<std::uint32_t> first_of_word_;
    std::vector<std::uint16_t> last_;
    std::vector<std::uint8_t> renew_;  ///< by block: decode everything at the next reading
    std::int32_t unused_age_ = 0;
    core::Quality unused_quality_ = core::Quality::bad;
    core::Cause unused_cause_ = core::Cause::none;
};

}  // namespace freshet::modbus
