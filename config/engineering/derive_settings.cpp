// Computes settings from equipment; see the header.
// One reason to change: a setting that is derived and not configured.
#include "config/engineering/derive_settings.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "config/engineering/derive.hpp"
#include "config/engineering/derive_currents.hpp"
#include "config/engineering/derive_hydraulics.hpp"
#include "config/engineering/energy.hpp"
#include "config/hydraulics/pipe.hpp"

namespace freshet::config {

namespace {

/// Slip of the motor at rated load, from the nameplate; zero for a nameplate without slip.
double rated_slip_ratio(const Station& station) {
    constexpr double poles_per_pair = 2, s_per_min = 60;
    const Nameplate& plate = station.motor.nameplate;
    const double synchronous_rpm = s_per_min * plate.frequency_hz * poles_per_pair / station.motor.poles;
    return std::max(1 - plate.speed_rpm / synchronous_rpm, 0.0);
}

/// The hours of the least price, as bits; zero without a tariff, or with one price for the whole day.
std::uint32_t cheap_hours(const std::vector<TariffBand>& tariff) {
    if (tariff.empty()) return 0;
    const auto by_price = [](const TariffBand& a, const TariffBand& b) {
        return a.price_per_kwh < b.price_per_kwh;
    };
    const auto [least, most] = std::ranges::minmax_element(tariff, by_price);
    if (!(least->price_per_kwh < most->price_per_kwh)) return 0;
    std::uint32_t hours = 0;
    for (const TariffBand& band : tariff)
        for (unsigned hour = band.from_h; hour < band.to_h && band.price_per_kwh == least->price_per_kwh;
             ++hour)
            hours |= 1U << hour;
    return hours;
}

}  // namespace

void derive_settings(core::Settings& settings, const Station& station) {
    const auto& transmitters = station.instruments.level;
    for (std::size_t i = 0; i < std::min(transmitters.size(), settings.level_transmitter.size()); ++i)
        settings.level_transmitter[i] = {true, transmitters[i].level_at_4ma_m,
                                         transmitters[i].level_at_20ma_m};
    const Instruments& instruments = station.instruments;
    settings.pressure_transmitter = {instruments.pressure_fitted, instruments.pressure_at_4ma_m,
                                     instruments.pressure_at_20ma_m};

    const std::vector<core::StorePoint> store = store_of(station);
    settings.store_points = static_cast<std::uint8_t>(store.size());
    std::ranges::copy(store, settings.store.begin());

    if (station.duty != Duty::hold_pressure)
        settings.weir = {station.well.overflow_level_m,
                         station.well.overflow_coefficient * station.well.overflow_width_m};

    derive_hydraulics(settings, station);
    derive_currents(settings, station);
    // A measured header pressure has the main behind it, so that no column delays the flow.
    if (station.duty != Duty::hold_pressure) settings.main_inertia_s2m2 = column_inertia_s2m2(station.main);
    settings.rated_current_a = rated_current_a(station.motor);

    settings.drive.line_frequency_hz = station.supply.frequency_hz;
    settings.drive.line_voltage_v = station.supply.voltage_v;
    settings.drive.rated_slip_ratio = rated_slip_ratio(station);
    settings.drive.ramp_up_hz_s = station.drive.ramp_up_hz_s;
    settings.drive.ramp_down_hz_s = station.drive.ramp_down_hz_s;
    settings.sync.line_side_closing_ms =
        static_cast<std::int32_t>(std::lround(station.line_side.closing_s * 1000));
    settings.sync.drive_side_closing_ms =
        static_cast<std::int32_t>(std::lround(station.drive_side.closing_s * 1000));
    settings.line_start.short_circuit_va = station.supply.short_circuit_va;
    settings.line_start.locked_rotor_current_ratio = locked_rotor_ratio(station.motor);

    settings.cheap.hours = settings.cheap.rise_m > 0 ? cheap_hours(station.tariff) : 0;
    settings.draw.speed_hz = {};
    if (settings.draw.wanted)
        for (std::uint8_t pumps = 0; pumps < settings.pump_count; ++pumps)
            if (const auto best = best_draw(station, settings, pumps))
                settings.draw.speed_hz.at(pumps) = best->speed_hz;

    constexpr double ms_per_hour = 3'600'000;
    for (std::size_t i = 0; i < station.run_hours.size(); ++i)
        settings.run_ms_initial[i] = std::llround(station.run_hours[i] * ms_per_hour);
}

std::int32_t usual_drive_wait_ms(const Drive& drive) {
    constexpr double start_up_s = 15, ms_each_s = 1000;
    return static_cast<std::int32_t>((drive.restart_lock_s + start_up_s) * ms_each_s);
}

}  // namespace freshet::config
