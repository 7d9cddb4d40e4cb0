// Registers that only a bench has: the simulated station's clock, the instant that its link shows, and what
// people have done at the controller's panel.
// One reason to change: what both sides of a bench exchange in addition to the site's own registers.
//
// The bench has ten input registers from address 0 under a unit id that the site's map does not use. The
// server always answers these registers, even when a scenario makes the link bad: lockstep follows these
// registers, while the site's registers may be late, garbled or missing.
#pragma once

#include <array>
#include <bitset>
#include <cstdint>
#include <optional>

#include "config/scenario.hpp"
#include "hal/modbus/field_plan.hpp"
#include "hal/modbus/mbap_parser.hpp"
#include "hal/modbus/word_codec.hpp"

namespace freshet::modbus {

inline constexpr std::uint16_t bench_registers_count = 10;
using BenchRegisters = std::array<std::uint16_t, bench_registers_count>;

/// The highest unit id that a map leaves free: 247 when 247 is free. Serial line and TCP devices have 1 to
/// 247 (MODBUS Messaging on TCP/IP Implementation Guide V1.0b, 4.4.1.3).
inline std::uint8_t bench_unit(const FieldPlan& plan) {
    std::bitset<256> used;
    for (const Block& block : plan.blocks) used.set(block.unit_id);
    std::uint8_t unit = 247;
    while (unit > 1 && used[unit]) --unit;
    return unit;
}

inline bool asks_bench_registers(const Request& request, std::uint8_t unit) {
    return request.kind == RequestKind::read_registers && request.table == config::Table::input_registers &&
           request.unit_id == unit && request.address == 0 && request.quantity == bench_registers_count;
}

/// The station's clock and the instant that its site registers show, Unix milliseconds. Empty when the run is
/// over. `people`: what people have done up to the station's clock.
struct BenchInstant {
    std::optional<std::int64_t> now_ms, shown_ms;
    config::PeopleCounts people = {};
};

inline BenchRegisters bench_registers(const BenchInstant& instant) {
    BenchRegisters words{};
    constexpr std::size_t each = words_of(config::WordType::u64);
    const auto put = [](const std::optional<std::int64_t>& ms, std::uint16_t* to) {
        put_words(ms ? static_cast<std::uint64_t>(*ms) : not_available(config::WordType::u64), each,
                  config::WordOrder::abcd, to);
    };
    put(instant.now_ms, words.data());
    put(instant.shown_ms, words.data() + each);
    words[2 * each] = instant.people.resets;
    words[2 * each + 1] = instant.people.acknowledgements;
    return words;
}

inline BenchInstant bench_instant(const BenchRegisters& words) {
    constexpr std::size_t each = words_of(config::WordType::u64);
    const auto get = [](const std::uint16_t* from) -> std::optional<std::int64_t> {
        const std::uint64_t raw = get_words(from, each, config::WordOrder::abcd);
        if (raw == not_available(config::WordType::u64)) return std::nullopt;
        return static_cast<std::int64_t>(raw);
    };
    return {get(words.data()), get(words.data() + each), {words[2 * each], words[2 * each + 1]}};
}

}  // namespace freshet::modbus
