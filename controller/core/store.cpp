// The store; see the header.
#include "controller/core/store.hpp"

#include <cmath>
#include <cstddef>

namespace freshet::core {

namespace {

/// The piece of the table that holds `level_m`, or the nearest piece.
std::size_t piece_at(const Settings& settings, double level_m) noexcept {
    std::size_t i = 0;
    while (i + 2 < settings.store_points && level_m >= settings.store[i + 1].level_m) ++i;
    return i;
}

double area_of_piece_m2(const Settings& settings, std::size_t piece) noexcept {
    const StorePoint &from = settings.store[piece], &to = settings.store[piece + 1];
    return (to.volume_m3 - from.volume_m3) / (to.level_m - from.level_m);
}

}  // namespace

double store_area_m2(const Settings& settings, double level_m) noexcept {
    return area_of_piece_m2(settings, piece_at(settings, level_m));
}

double need_volume_m3(const Settings& settings, double value_m) noexcept {
    const std::size_t piece = piece_at(settings, value_m);
    const StorePoint& from = settings.store[piece];
    const double content_m3 = from.volume_m3 + area_of_piece_m2(settings, piece) * (value_m - from.level_m);
    return settings.action == Action::direct ? content_m3 : -content_m3;
}

double weir_m3s(const Settings& settings, double level_m) noexcept {
    const double head_m = level_m - settings.weir.crest_m;
    if (!(head_m > 0) || !(settings.weir.coefficient_m15_s > 0)) return 0;
    return settings.weir.coefficient_m15_s * head_m * std::sqrt(head_m);
}

}  // namespace freshet::core
