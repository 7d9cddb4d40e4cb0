// Counts the events at the station and prices the energy. The header declares the functions.
//
// One reason to change: a figure that a run must state about the plant.
#include "sim_plant/station/figures.hpp"

#include <algorithm>
#include <cmath>

#include "sim_plant/weather/calendar.hpp"

namespace freshet::plant {
namespace {

constexpr std::int64_t hour_ms = 3'600'000;
constexpr double joule_per_kwh = 3.6e6;

/// Removes the times that are an hour old or older. Adds `at_ms`. Returns the number of times in the list.
std::uint32_t within_hour_with(std::vector<double>& times_ms, double at_ms) {
    std::erase_if(times_ms,
                  [at_ms](double time_ms) { return time_ms <= at_ms - static_cast<double>(hour_ms); });
    times_ms.push_back(at_ms);
    return static_cast<std::uint32_t>(times_ms.size());
}

}  // namespace

FigureKeeper::FigureKeeper(const config::Station& station, std::int64_t start_ms, double level_m) {
    level(level_m);
    has_tariff_ = !station.tariff.empty();
    figures_.has_tariff = has_tariff_;
    for (const config::TariffBand& band : station.tariff)
        for (std::size_t hour = band.from_h; hour < std::min<std::size_t>(band.to_h, 24); ++hour)
            price_per_joule_[hour] = band.price_per_kwh / joule_per_kwh;
    priced_to_ms_ = start_ms;
    utc_offset_ms_ = station.utc_offset_ms;
    if (has_tariff_) next_price_ms_ = next_hour_ms(start_ms);
}

double FigureKeeper::price_at(std::int64_t time_ms) const {
    return price_per_joule_[static_cast<std::size_t>(time_of_day_ms(time_ms + utc_offset_ms_) / hour_ms)];
}

std::int64_t FigureKeeper::next_hour_ms(std::int64_t now_ms) const {
    return ((now_ms + utc_offset_ms_) / hour_ms + 1) * hour_ms - utc_offset_ms_;
}

void FigureKeeper::energy(std::int64_t now_ms, double energy_j) {
    figures_.cost += (energy_j - energy_priced_j_) * price_at(priced_to_ms_);
    energy_priced_j_ = energy_j;
    priced_to_ms_ = now_ms;
    if (has_tariff_) next_price_ms_ = next_hour_ms(now_ms);
}

void FigureKeeper::contacts(std::size_t pump, Contacts now, double at_ms, double angle_deg) {
    Pump& own = pumps_[pump];
    const Contacts was = own.contacts;
    own.contacts = now;
    const bool overlapped = was.drive_side && was.line_side, overlaps = now.drive_side && now.line_side;

    if (!was.fed && now.fed) {
        own.run_since_ms = at_ms;
        ++figures_.starts[pump];
        if (now.line_side) ++figures_.line_starts[pump];
        figures_.starts_per_hour_max =
            std::max(figures_.starts_per_hour_max, within_hour_with(own.starts_ms, at_ms));
    }
    if (was.fed && !now.fed) own.run_ms += at_ms - own.run_since_ms;
    if (!overlapped && overlaps) {
        own.overlap_since_ms = at_ms;
        own.overlap_began_on_drive = was.drive_side;
        figures_.closing_angle_deg_max = std::max(figures_.closing_angle_deg_max, std::abs(angle_deg));
    }
    if (overlapped && !overlaps) {
        figures_.overlap_ms_max = std::max(figures_.overlap_ms_max, at_ms - own.overlap_since_ms);
        const bool handed_over = own.overlap_began_on_drive && now.line_side;
        const bool taken_back = !own.overlap_began_on_drive && now.drive_side;
        figures_.hand_overs += handed_over ? 1 : 0;
        figures_.take_backs += taken_back ? 1 : 0;
        if (handed_over || taken_back)
            figures_.transfers_per_hour_max =
                std::max(figures_.transfers_per_hour_max, within_hour_with(transfers_ms_, at_ms));
    }
}

void FigureKeeper::closing(const Closing& one) {
    ++figures_.closing_count;
    if (figures_.closings.size() < closings_max) figures_.closings.push_back(one);
}

Figures FigureKeeper::at(std::int64_t now_ms, double energy_j) const {
    Figures figures = figures_;
    figures.cost += (energy_j - energy_priced_j_) * price_at(priced_to_ms_);
    for (std::size_t pump = 0; pump < pumps_max; ++pump) {
        const Pump& own = pumps_[pump];
        double run_ms = own.run_ms;
        if (own.contacts.fed) run_ms += static_cast<double>(now_ms) - own.run_since_ms;
        figures.run_ms[pump] = std::llround(run_ms);
        if (own.contacts.drive_side && own.contacts.line_side)
            figures.overlap_ms_max =
                std::max(figures.overlap_ms_max, static_cast<double>(now_ms) - own.overlap_since_ms);
    }
    return figures;
}

}  // namespace freshet::plant
