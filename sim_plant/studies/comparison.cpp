// Compares two runs; see the header.
#include "sim_plant/studies/comparison.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>

namespace freshet::studies {
namespace {

constexpr std::array<LeftOut, 2> left_out{{
    {"no-forecast", [](core::Settings& settings) { settings.staging.forecast = false; }},
    {"no-line-start", [](core::Settings& settings) { settings.line_start.allowed = false; }},
}};

}  // namespace

std::span<const LeftOut> known_left_out() {
    return left_out;
}

const LeftOut* find_left_out(std::string_view name) {
    for (const LeftOut& one : left_out)
        if (one.name == name) return &one;
    return nullptr;
}

unsigned starts_of(const record::RunSummary& summary) {
    unsigned starts = 0;
    for (std::size_t pump = 0; pump < summary.pump_count; ++pump) starts += summary.starts_per_pump[pump];
    return starts;
}

double margin_gained(const record::RunSummary& as_described, const record::RunSummary& compared,
                     double crest_m) {
    constexpr double least_m = 1e-3;
    const double left_m = std::max(crest_m - compared.level_max_m, least_m);
    return (compared.level_max_m - as_described.level_max_m) / left_m;
}

std::string side_by_side(const record::RunSummary& as_described, const record::RunSummary& compared,
                         std::string_view name, std::optional<double> crest_m) {
    std::string text;
    const auto row = [&](std::string_view figure, double one, double other, int digits) {
        text += fmt::format("  {:<36}{:>14.{}f}{:>16.{}f}\n", figure, one, digits, other, digits);
    };
    text += fmt::format("  {:<36}{:>14}{:>16}\n", "", "as described", name);
    row("highest level or head, m", as_described.level_max_m, compared.level_max_m, 3);
    row("lowest level or head, m", as_described.level_min_m, compared.level_min_m, 3);
    row("overflow, m3", as_described.overflow_m3, compared.overflow_m3, 3);
    row("starts", starts_of(as_described), starts_of(compared), 0);
    row("most starts in an hour", as_described.starts_per_hour_max, compared.starts_per_hour_max, 0);
    row("most transfers completed in an hour", as_described.transfers_per_hour_max,
        compared.transfers_per_hour_max, 0);
    row("hand-overs", as_described.hand_overs, compared.hand_overs, 0);
    row("take-backs", as_described.take_backs, compared.take_backs, 0);
    row("line starts", as_described.line_starts, compared.line_starts, 0);
    row("energy, kWh", as_described.energy_kwh, compared.energy_kwh, 1);
    row("alarms", as_described.alarms, compared.alarms, 0);
    if (!crest_m) return text;
    constexpr double per_cent = 100;
    text += fmt::format(
        "  highest level {:.3f} m lower than with {}: {:.0f} % of the margin to the overflow at {:.3f} m\n",
        compared.level_max_m - as_described.level_max_m, name,
        per_cent * margin_gained(as_described, compared, *crest_m), *crest_m);
    return text;
}

}  // namespace freshet::studies
