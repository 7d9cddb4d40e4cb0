// A site's registers to the inputs of the core's scan.
// One reason to change: how registers become a value, its quality and its time of reading. Which input a
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

/// Registers to the inputs of a scan. The decoder decodes only words that changed, and renews the time of
/// reading of every word.
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
                      std::span<const std::uint16_t> entries, std::int64_t read_ms);
    /// Call when a block could not be read. Its signals take the cause and keep their last value, quality and
    /// time. One missed answer gives no information about the station, so the core decides how old a reading
    /// may be.
    void fail(std::size_t block, core::Cause cause);
    /// The present inputs, dated `now_ms`.
    const core::Inputs& inputs_at(std::int64_t now_ms) {
        inputs_.time_ms = now_ms;
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
        std::uint32_t word;
        Goal goal;
        config::WordType type;
        config::WordOrder order;
        std::uint8_t bit;
        bool inverted;
    };
    void add_entry(const PlannedEntry& planned);
    InputTarget input_of(config::SignalIndex signal);
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
    std::vector<std::uint8_t> renew_;  ///< by block: decode everything at the next reading
    std::int64_t unused_time_ = 0;
    core::Quality unused_quality_ = core::Quality::bad;
    core::Cause unused_cause_ = core::Cause::none;
};

}  // namespace freshet::modbus
