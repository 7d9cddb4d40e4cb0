// Writes the rows of the advice map into registers; see the header.
// One reason to change: see the header.
#include "hal/modbus/advice_encoder.hpp"

#include <algorithm>
#include <bit>
#include <limits>
#include <utility>

#include "hal/modbus/word_codec.hpp"

namespace freshet::modbus {
namespace {

/// Advice before the first scan: no time, no number and no countdown.
core::Advice advice_before_the_first_scan() {
    constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    core::Advice advice;
    advice.next.countdown_ms = -1;
    for (double* const number : {&advice.speed_hz, &advice.measured_m, &advice.setpoint_m, &advice.demand_hz,
                                 &advice.minimum_flow_hz, &advice.inflow_m3s, &advice.pumped_m3s}) {
        *number = unknown;
    }
    return advice;
}

}  // namespace

AdviceEncoder::AdviceEncoder(std::uint8_t pump_count, std::int32_t scan_ms, std::int32_t expiry_ms)
    : pump_count_(std::min<std::uint8_t>(pump_count, core::pumps_max)),
      scan_ms_(scan_ms),
      expiry_ms_(expiry_ms) {
    encode(advice_before_the_first_scan(), core::never_ms);
}

template <std::size_t index>
void AdviceEncoder::write_number(double number) {
    constexpr const table::PlacedRow& placed = table::placed_rows[index];
    constexpr const table::Row& row = *placed.row;
    static_assert(row.per == table::Per::station, "a number of each pump needs a memory of each pump");
    if constexpr (table::is_scaled_number(row)) {
        constexpr std::size_t place = table::scaled_numbers_before(index);
        const auto bits = std::bit_cast<std::uint64_t>(number);
        if (bits == last_numbers_[place]) return;
        last_numbers_[place] = bits;
    }
    put_words(raw_of(number / row.scale, row.type), row.words(), advice_word_order,
              image_.data() + placed.address);
}

/// Every row is written, because this function takes the row's own encoding: raw words or a number.
template <std::size_t index>
void AdviceEncoder::write_row(const table::Published& from) {
    constexpr const table::PlacedRow& placed = table::placed_rows[index];
    constexpr table::Encoding encoding = placed.row->encoding;
    if constexpr (encoding.gives_number) {
        write_number<index>(encoding.real(from, 0));
    } else if constexpr (placed.row->per == table::Per::pump) {
        for (std::size_t pump = 0; pump < pump_count_; ++pump) {
            put_words(encoding.raw(from, pump), placed.row->words(), advice_word_order,
                      image_.data() + placed.address + pump * placed.stride);
        }
    } else {
        put_words(encoding.raw(from, 0), placed.row->words(), advice_word_order,
                  image_.data() + placed.address);
    }
}

const AdviceImage& AdviceEncoder::encode(const core::Advice& advice, std::int64_t measured_read_ms) {
    const table::Published from{.advice = advice,
                                .measured_read_ms = measured_read_ms,
                                .pump_count = pump_count_,
                                .scan_ms = scan_ms_,
                                .expiry_ms = expiry_ms_};
    [&]<std::size_t... index>(std::index_sequence<index...>) {
        (write_row<index>(from), ...);
    }
    (std::make_index_sequence<table::placed_rows.size()>{});
    return image_;
}

}  // namespace freshet::modbus
