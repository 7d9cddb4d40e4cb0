// Readings of the simulated station to a site's registers.
// One reason to change: how a reading becomes registers.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "config/field_map.hpp"
#include "config/signals.hpp"
#include "hal/modbus/field_plan.hpp"
#include "hal/modbus/word_codec.hpp"

namespace freshet::modbus {

/// Readings to registers. Only signals with a changed reading are written again.
class FieldEncoder {
  public:
    explicit FieldEncoder(const FieldPlan& plan);
    /// The image of all blocks; valid until the next call.
    std::span<const std::uint16_t> encode(const config::Readings& readings);
    /// The image as last encoded.
    std::span<const std::uint16_t> image() const { return image_; }
    /// Call when only the station's clock changed. No entry of this scan then counts as changed.
    void nothing_changed() { changed_count_ = 0; }
    /// The plan's entries whose registers changed in the last call, in the dictionary's order.
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

}  // namespace freshet::modbus
