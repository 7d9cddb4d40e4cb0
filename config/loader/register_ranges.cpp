// Ranges of registers; see the header.
#include "config/loader/register_ranges.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <string_view>

#include "config/engineering/derive.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/signals.hpp"

namespace freshet::config {
namespace {

struct RegisterRange {
    double least = 0, most = 0;
};

/// The range that a signal needs, and what the range is.
struct NeededRange {
    RegisterRange range;
    std::string_view what;
};

/// The numbers that a type holds. Nothing for types that hold every measured value.
std::optional<RegisterRange> raw_range_of(WordType type) {
    switch (type) {
        case WordType::u16:
            return RegisterRange{0, std::numeric_limits<std::uint16_t>::max()};
        case WordType::s16:
            return RegisterRange{std::numeric_limits<std::int16_t>::min(),
                                 std::numeric_limits<std::int16_t>::max()};
        case WordType::u32:
            return RegisterRange{0, std::numeric_limits<std::uint32_t>::max()};
        case WordType::s32:
            return RegisterRange{std::numeric_limits<std::int32_t>::min(),
                                 std::numeric_limits<std::int32_t>::max()};
        default:
            return std::nullopt;
    }
}

std::optional<NeededRange> needed_by_level(const StationFile& file, std::size_t i) {
    const core::TransmitterSettings& one = file.settings.level_transmitter.at(i);
    if (!one.fitted) return std::nullopt;
    return NeededRange{{one.value_at_4ma_m, one.value_at_20ma_m}, "the range of the transmitter"};
}

std::optional<NeededRange> needed_by_pump(PumpSignal signal, const StationFile& file) {
    constexpr double overload = 1.2;
    if (signal == PumpSignal::current)
        return NeededRange{{0, overload * rated_current_a(file.station.motor)},
                           "the rated current and a fifth more"};
    if (signal == PumpSignal::winding_temperature) {
        constexpr double coldest_k = 273.15;
        return NeededRange{{coldest_k, file.settings.permissives.winding_temperature_max_k},
                           "freezing to winding_temperature_max"};
    }
    return std::nullopt;
}

std::optional<NeededRange> needed_by_station(StationSignal signal, const StationFile& file) {
    constexpr double voltage_swing = 1.1, frequency_swing = 1.05, half_turn_deg = 180;
    const core::Settings& settings = file.settings;
    switch (signal) {
        case StationSignal::level_1_loop:
        case StationSignal::level_2_loop:
        case StationSignal::header_pressure_loop:
            return NeededRange{{core::loop_failure_low_ma, core::loop_failure_high_ma},
                               "both failure limits of NAMUR NE 43"};
        case StationSignal::level_1:
            return needed_by_level(file, 0);
        case StationSignal::level_2:
            return needed_by_level(file, 1);
        case StationSignal::header_pressure:
            return NeededRange{
                {settings.pressure_transmitter.value_at_4ma_m, settings.pressure_transmitter.value_at_20ma_m},
                "the range of the transmitter"};
        case StationSignal::station_flow:
            return NeededRange{
                {0, core::solve_combination(settings, {file.station.pump_count, 0, settings.marks.setpoint_m})
                        .total_m3s},
                "all pumps at line speed"};
        case StationSignal::line_voltage:
        case StationSignal::drive_voltage:
            return NeededRange{{0, voltage_swing * file.station.supply.voltage_v},
                               "the rated voltage and a tenth more"};
        case StationSignal::line_frequency:
            return NeededRange{{0, frequency_swing * file.station.supply.frequency_hz},
                               "the rated frequency and a twentieth more"};
        case StationSignal::drive_frequency:
            return NeededRange{{0, file.station.drive.frequency_max_hz}, "the drive's frequency_max"};
        case StationSignal::drive_angle:
            return NeededRange{{-half_turn_deg, half_turn_deg}, "half a turn either way"};
        default:
            return std::nullopt;
    }
}

std::optional<NeededRange> needed_by(SignalIndex signal, const StationFile& file) {
    if (signal < station_signals.size()) return needed_by_station(static_cast<StationSignal>(signal), file);
    return needed_by_pump(static_cast<PumpSignal>((signal - station_signals.size()) % pump_signals.size()),
                          file);
}

/// The least power of ten with which the raw range holds the needed range; nothing when no scale does, because
/// the type holds no negative number.
std::optional<double> scale_for(const RegisterRange& raw, const RegisterRange& needed, double offset) {
    if (needed.least < offset && raw.least >= 0) return std::nullopt;
    const double upwards = (needed.most - offset) / raw.most;
    const double downwards = raw.least < 0 ? (needed.least - offset) / raw.least : 0;
    constexpr double ten = 10;
    return std::pow(ten, std::ceil(std::log10(std::max(upwards, downwards))));
}

}  // namespace

Errors check_register_ranges(const FieldMap& map, const StationFile& file) {
    Errors errors;
    for (const FieldEntry& entry : map.entries) {
        const std::optional<RegisterRange> raw = raw_range_of(entry.type);
        const std::optional<NeededRange> need = needed_by(entry.signal, file);
        if (!raw || !need) continue;
        const double one = entry.offset + entry.scale * raw->least;
        const double other = entry.offset + entry.scale * raw->most;
        const RegisterRange held{std::min(one, other), std::max(one, other)};
        constexpr double rounding = 1e-9;
        const RegisterRange& needed = need->range;
        const double slack = rounding * (1 + std::abs(needed.most));
        if (held.least <= needed.least + slack && held.most >= needed.most - slack) continue;
        const std::string_view unit = definition_of(entry.signal).unit;
        const std::optional<double> scale = scale_for(*raw, needed, entry.offset);
        errors.push_back(
            {map.file, entry.line, entry.column,
             fmt::format(
                 "\"{}\" holds {:.4g} to {:.4g} {} by its type and scale, but must hold {:.4g} to {:.4g} "
                 "{} ({}); expected {}",
                 signal_name(entry.signal), held.least, held.most, unit, needed.least, needed.most, unit,
                 need->what,
                 scale ? fmt::format("a scale of \"{:g} {}\", or the type \"f32\"", *scale, unit)
                       : "a type with a sign, or the type \"f32\"")});
    }
    return errors;
}

}  // namespace freshet::config
