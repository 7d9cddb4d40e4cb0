// A field map of an invented site that reads every signal of a station in one block, without rounding that
// matters.
// One reason to change: the signals that a station of the campaign has.
#pragma once

#include <cstddef>
#include <cstdint>
#include <stdexcept>

#include "config/field_map.hpp"
#include "config/signals.hpp"
#include "hal/modbus/field_plan.hpp"

namespace freshet::staging_campaign {

/// The signals of `pumps` pumps and `transmitters` level transmitters, read once in `scan_ms`.
/// `with_flow`: the site has a flow meter.
inline modbus::FieldPlan every_signal_of(std::size_t pumps, std::size_t transmitters, std::int32_t scan_ms,
                                         bool with_flow) {
    using config::StationSignal;
    config::FieldMap map;
    map.name = "every signal (invented)";
    map.groups.push_back({"scan", scan_ms});
    std::uint16_t address = 0;
    const auto add = [&](config::SignalIndex signal) {
        const config::SignalKind kind = config::definition_of(signal).kind;
        config::FieldEntry entry;
        entry.signal = signal;
        entry.address = address;
        entry.type = kind == config::SignalKind::digital                     ? config::WordType::bit
                     : kind == config::SignalKind::analog                    ? config::WordType::f32
                     : signal == config::index_of(StationSignal::plant_time) ? config::WordType::u64
                                                                             : config::WordType::u16;
        address = static_cast<std::uint16_t>(address + config::words_of(entry.type));
        map.entries.push_back(entry);
    };
    for (std::size_t i = 0; i < config::station_signals.size(); ++i) {
        const auto signal = static_cast<StationSignal>(i);
        const bool left_out = signal == StationSignal::level_1 || signal == StationSignal::level_2 ||
                              signal == StationSignal::header_pressure ||
                              signal == StationSignal::header_pressure_loop ||
                              (signal == StationSignal::level_2_loop && transmitters < 2) ||
                              (signal == StationSignal::station_flow && !with_flow);
        if (!left_out) add(config::index_of(signal));
    }
    for (std::size_t pump = 0; pump < pumps; ++pump)
        for (std::size_t i = 0; i < config::pump_signals.size(); ++i)
            add(config::index_of(pump, static_cast<config::PumpSignal>(i)));
    auto plan = modbus::compile(map);
    if (!plan) throw std::runtime_error(plan.error().front());
    return std::move(*plan);
}

}  // namespace freshet::staging_campaign
