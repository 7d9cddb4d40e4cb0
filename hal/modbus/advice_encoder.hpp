// Advice to registers.
// One reason to change: how the rows of the advice map are written into the registers of a scan.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/core/advice.hpp"
#include "hal/modbus/advice_map.hpp"

namespace freshet::modbus {

namespace table {

constexpr bool is_scaled_number(const Row& row) {
    return row.encoding.gives_number && row.type != config::WordType::f32;
}

/// How many of the first `rows` placed rows are scaled numbers.
constexpr std::size_t scaled_numbers_before(std::size_t rows) {
    std::size_t count = 0;
    for (std::size_t i = 0; i < rows; ++i) count += is_scaled_number(*placed_rows[i].row) ? 1 : 0;
    return count;
}

}  // namespace table

/// Writes every register of the map once a scan. A scaled number is converted again only when the number
/// changed, because the conversion divides.
class AdviceEncoder {
  public:
    /// `expiry_ms` up to 65534: station time for which advice is valid. Before the first scan every register
    /// reads "not available" or zero, except the registers of the identity.
    AdviceEncoder(std::uint8_t pump_count, std::int32_t scan_ms, std::int32_t expiry_ms);

    /// `measured_read_ms` is the station time of the newest reading behind the measured value, or
    /// core::never_ms.
    const AdviceImage& encode(const core::Advice& advice, std::int64_t measured_read_ms);
    const AdviceImage& image() const { return image_; }

  private:
    template <std::size_t index>
    void write_row(const table::Published& from);
    template <std::size_t index>
    void write_number(double number);

    AdviceImage image_{};
    std::uint8_t pump_count_;
    std::int32_t scan_ms_, expiry_ms_;
    /// The bits of each scaled number as last written. Zero bits and a zero register agree at the start.
    std::array<std::uint64_t, table::scaled_numbers_before(table::placed_rows.size())> last_numbers_{};
};

}  // namespace freshet::modbus
