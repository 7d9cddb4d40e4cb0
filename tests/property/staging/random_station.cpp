// Draws stations; see the header.
#include "tests/property/staging/random_station.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <sstream>
#include <stdexcept>
#include <utility>
#include <vector>

#include "config/engineering/checks.hpp"
#include "config/engineering/derive.hpp"
#include "config/engineering/derive_settings.hpp"
#include "config/hydraulics/pipe.hpp"
#include "config/loader/load.hpp"
#include "controller/core/settings_check.hpp"
#include "tests/doubles/operating_point.hpp"
#include "tests/property/staging/every_signal.hpp"

namespace freshet::staging_campaign {
namespace {

constexpr double gravity_ms2 = 9.80665;
constexpr double runout_most = 1.38;  // the drawn curves end at 1.4 of the flow at best efficiency

/// The figures that decide the size of everything else.
struct Sizes {
    double area_m2, band_m, pump_m3s, head_m;
};

const config::StationFile& demonstration() {
    static const config::StationFile file = [] {
        auto loaded =
            config::load_station_file(std::string{FRESHET_SOURCE_DIR} + "/config/stations/demo.toml");
        if (!loaded) throw std::runtime_error(config::text_of(loaded.error()));
        return std::move(*loaded);
    }();
    return file;
}

Sizes draw_sizes(Dice& dice) {
    Sizes sizes{dice.decades(5, 5000), dice.between(0.6, 2.5), 0, dice.between(8, 60)};
    const double filled_by_one_s = dice.decades(90, 2400);
    sizes.pump_m3s = std::clamp(sizes.area_m2 * sizes.band_m / filled_by_one_s, 0.005, 25.0);
    return sizes;
}

/// H = Hb (s - (s - 1) x^e), from flat (s near 1) to steep.
config::PumpType draw_pump(Dice& dice, const Sizes& sizes) {
    config::PumpType pump;
    const double steep = dice.between(1.06, 1.65), exponent = dice.between(1.6, 2.4);
    for (const double x : {0.0, 0.25, 0.5, 0.7, 0.85, 1.0, 1.15, 1.3, 1.4})
        pump.curve.push_back({x * sizes.pump_m3s,
                              sizes.head_m * (steep - (steep - 1) * std::pow(x, exponent)),
                              0.84 * x * (2 - x), 2 + 2 * x * x});
    pump.minimum_flow_m3s = dice.between(0.2, 0.32) * sizes.pump_m3s;
    pump.branch_loss_s2m5 = dice.between(0.01, 0.04) * sizes.head_m / (sizes.pump_m3s * sizes.pump_m3s);
    return pump;
}

/// A motor that the pump never overloads: the demonstration's, per unit of its power.
void fit_motor(config::Station& station) {
    const config::Station& model = demonstration().station;
    double most_w = 0;
    for (const config::PumpPoint& point : station.pump.curve)
        if (point.efficiency > 0)
            most_w = std::max(most_w, station.fluid.density_kgm3 * gravity_ms2 * point.flow_m3s *
                                          point.head_m / point.efficiency);
    const double ratio = 1.08 * most_w / model.motor.nameplate.power_w;
    const double frequency_ratio = station.supply.frequency_hz / model.supply.frequency_hz;
    config::Motor& motor = station.motor;
    motor.nameplate.power_w *= ratio;
    motor.nameplate.frequency_hz = station.supply.frequency_hz;
    motor.nameplate.speed_rpm *= frequency_ratio;
    for (double* impedance : {&motor.circuit.rs_ohm, &motor.circuit.xls_ohm, &motor.circuit.xm_ohm,
                              &motor.circuit.xlr_ohm, &motor.circuit.rr_ohm})
        *impedance /= ratio;
    const double inertia_ratio = ratio / (frequency_ratio * frequency_ratio);
    motor.inertia_kgm2 *= inertia_ratio;
    station.pump.inertia_kgm2 = model.pump.inertia_kgm2 * inertia_ratio;
    station.pump.rated_speed_rpm = motor.nameplate.speed_rpm;
    station.drive.current_limit_a *= ratio;
    station.supply.short_circuit_va *= ratio;
}

/// The marks from the bottom: suction, vortex, low float, low cut-off, stop, stage down, setpoint, stage
/// up, high alarm, high float, overflow.
void draw_levels(Dice& dice, const Sizes& sizes, config::Station& station, core::Settings::Marks& marks) {
    config::Well& well = station.well;
    well.suction_level_m = 0.5;
    well.vortex_level_m = 0.6;
    marks.low_cutoff_m = 0.8;
    marks.stop_m = marks.low_cutoff_m + std::max(0.15, dice.between(0.15, 0.4) * sizes.band_m);
    marks.stage_up_m = marks.stop_m + sizes.band_m;
    marks.start_m = dice.chance(0.5) ? marks.stage_up_m : marks.stage_up_m - 0.1 * sizes.band_m;
    marks.stage_down_m = marks.stop_m + dice.between(0.35, 0.6) * sizes.band_m;
    const double between_m = marks.stage_up_m - marks.stage_down_m;
    marks.setpoint_m = marks.stage_down_m + dice.between(0.35, 0.6) * between_m;
    marks.deadband_m = dice.between(0.05, 0.15) * between_m;
    marks.high_alarm_m = marks.stage_up_m + dice.between(0.3, 1.0) * sizes.band_m;
    well.overflow_level_m = marks.high_alarm_m + dice.between(0.15, 0.5) * sizes.band_m;
    station.instruments.high_float_m =
        marks.high_alarm_m + 0.5 * (well.overflow_level_m - marks.high_alarm_m);
    station.instruments.low_float_m = 0.7;
    const double top_m = well.overflow_level_m + 1;
    const double hopper = dice.between(0.5, 1);
    well.storage = {
        {0, 0},
        {0.8 * marks.stop_m, 0.8 * marks.stop_m * sizes.area_m2 * hopper},
        {top_m, 0.8 * marks.stop_m * sizes.area_m2 * hopper + (top_m - 0.8 * marks.stop_m) * sizes.area_m2}};
    // All pumps' flow over the weir rises 0.3 m.
    constexpr double rise_m = 0.3;
    well.overflow_width_m =
        station.pump_count * sizes.pump_m3s / (well.overflow_coefficient * rise_m * std::sqrt(rise_m));
}

/// A main whose loss, at the flow of all pumps, takes the head that the static head leaves. The water in
/// the main needs at most half a minute to follow the pumps: L v / (g H), rigid column. Fittings take the
/// rest of the loss.
void draw_main(Dice& dice, const Sizes& sizes, config::Station& station, double setpoint_m) {
    const double total_m3s = station.pump_count * sizes.pump_m3s;
    const double static_share = dice.between(0.3, 0.95);
    const double velocity_ms = dice.between(1.0, 2.5);
    const double branch_m = station.pump.branch_loss_s2m5 * sizes.pump_m3s * sizes.pump_m3s;
    config::Reach reach;
    reach.length_m = 1;
    reach.diameter_m = std::sqrt(total_m3s / velocity_ms * 4 / std::numbers::pi);
    reach.roughness_m = 0.3e-3;
    reach.wave_speed_ms = 1050;
    station.main.reaches = {reach};
    const double per_metre_m = config::main_loss_m(station.main, station.fluid, total_m3s);
    const double loss_m = std::max(0.0, (1 - static_share) * sizes.head_m - branch_m);
    constexpr double shortest_m = 20;
    const double longest_m = dice.decades(3, 30) * gravity_ms2 * sizes.head_m / velocity_ms;
    config::Reach& fitted = station.main.reaches.front();
    fitted.length_m = std::clamp(loss_m / per_metre_m, shortest_m, longest_m);
    const double left_m = std::max(0.0, loss_m - fitted.length_m * per_metre_m);
    fitted.minor_loss_k = left_m * 2 * gravity_ms2 / (velocity_ms * velocity_ms);
    station.main.discharge_level_m = setpoint_m + static_share * sizes.head_m;
}

void draw_instruments(Dice& dice, const Sizes& sizes, double top_m, double scan_s,
                      config::Instruments& instruments) {
    config::LevelTransmitter one = instruments.level.front();
    one.level_at_4ma_m = 0;
    one.level_at_20ma_m = top_m;
    one.noise_m = 0.001 + dice.between(0, 0.002) * sizes.band_m;
    one.lag_s = dice.between(0, 2);
    one.update_s = std::max(scan_s, dice.chance(0.2) ? 0.5 : 1.0);
    instruments.level.assign(dice.chance(0.5) ? 1 : 2, one);
    instruments.pressure_fitted = false;
}

std::int32_t draw_scan_ms(Dice& dice) {
    if (dice.chance(0.6)) return 1000;
    constexpr std::array<std::int32_t, 4> quick{50, 100, 200, 500};
    return quick[dice.below(quick.size())];
}

/// Times and limits that a careful integrator would give.
void draw_settings(Dice& dice, const Sizes& sizes, const config::Station& station, core::Settings& settings) {
    const double line_hz = station.supply.frequency_hz;
    settings.pump_count = station.pump_count;
    settings.drive.speed_max_hz = line_hz;
    settings.drive.speed_min_hz = line_hz / 2;
    settings.signal.rate_max_m_s = std::max(0.1, 4 * station.pump_count * sizes.pump_m3s / sizes.area_m2);
    // Noise of the level moves the speed by 2 A noise / (arrest x m3/s per Hz): about a tenth of a hertz
    // here.
    const double noise_m = station.instruments.level.front().noise_m;
    constexpr double hz_of_range = 20, noise_hz = 0.1;
    const double quiet_s = 2 * sizes.area_m2 * noise_m / (noise_hz * sizes.pump_m3s / hz_of_range);
    settings.demand.arrest_s = std::max(dice.between(30, 90), quiet_s);
    settings.demand.rate_max_hz_s = station.drive.ramp_up_hz_s;
    settings.staging.up_delay_ms = 1000 * static_cast<std::int32_t>(5 + dice.below(16));
    settings.staging.down_delay_ms = 1000 * static_cast<std::int32_t>(20 + dice.below(41));
    settings.staging.observer_s = dice.between(20, 60);
    const std::int32_t scan_ms = settings.scan_ms;
    settings.step.close_ms = settings.step.open_ms = std::max(1000, 3 * scan_ms);
    settings.step.overlap_ms = std::max(500, 2 * scan_ms + 100);
    settings.sync.age_max_ms = std::max(500, scan_ms + 500);
    core::Settings::Permissives& permissives = settings.permissives;
    permissives.rest_min_ms = 1000 * static_cast<std::int32_t>(60 + dice.below(241));
    permissives.run_min_ms = 1000 * static_cast<std::int32_t>(30 + dice.below(151));
    permissives.starts_per_hour_max = static_cast<std::uint8_t>(6 + dice.below(5));
    permissives.transfers_per_hour_max = static_cast<std::uint8_t>(12 + dice.below(9));
    permissives.pumps_max_on_line = permissives.pumps_max_on_generator = station.pump_count;
    settings.line_start.allowed = true;
    settings.exercise_ms = 0;
}

/// A draw that the checks may still refuse.
std::pair<config::Station, core::Settings> draw(Dice& dice, Scan scan) {
    config::Station station = demonstration().station;
    core::Settings settings = demonstration().settings;
    const Sizes sizes = draw_sizes(dice);
    station.name = "random station (invented)";
    station.pump_count = static_cast<std::uint8_t>(2 + dice.below(7));
    station.supply.frequency_hz = dice.chance(0.5) ? 50 : 60;
    station.drive.frequency_max_hz = station.supply.frequency_hz + 1;
    station.drive.ramp_up_hz_s = dice.decades(0.7, 5);
    station.drive.ramp_down_hz_s = station.drive.ramp_up_hz_s;
    settings.scan_ms = draw_scan_ms(dice);
    if (scan != Scan::drawn) settings.scan_ms = static_cast<std::int32_t>(scan);
    station.pump = draw_pump(dice, sizes);
    draw_levels(dice, sizes, station, settings.marks);
    draw_main(dice, sizes, station, settings.marks.setpoint_m);
    fit_motor(station);
    draw_instruments(dice, sizes, station.well.storage.back().level_m, settings.scan_ms / 1000.0,
                     station.instruments);
    for (double& hours : station.run_hours) hours = dice.between(1000, 5000);
    draw_settings(dice, sizes, station, settings);
    return {std::move(station), settings};
}

bool is_sound(const config::Station& station, core::Settings& settings) {
    const double flow_m3s = doubles::capacity_m3s(station, 1, 1, station.well.overflow_level_m);
    if (flow_m3s > runout_most / 1.4 * station.pump.curve.back().flow_m3s) return false;
    config::Findings findings;
    config::check_well(findings, station.well);
    config::check_pump(findings, station.pump);
    config::check_main(findings, station.main);
    config::check_motor(findings, station.motor);
    config::check_marks(findings, settings);
    if (!findings.empty() || !config::check_station(station, settings).empty()) return false;
    config::derive_settings(settings, station);
    return config::check_service(station, settings).empty() && core::check(settings).sound();
}

}  // namespace

RandomStation random_station(std::uint64_t seed, Scan scan) {
    Dice dice(seed);
    constexpr int draws_most = 1000;
    for (int refused = 0; refused < draws_most; ++refused) {
        auto [given, settings] = draw(dice, scan);
        if (!is_sound(given, settings)) continue;
        config::Station real = given;
        constexpr double most_off = 0.03;
        const double flow_ratio = 1 + dice.between(-most_off, most_off);
        for (config::PumpPoint& point : real.pump.curve) point.flow_m3s *= flow_ratio;
        const double volume_m3 =
            config::volume_between_m3(given, settings.marks.stop_m, settings.marks.stage_up_m);
        Capacity capacity{real, 0, given.well.storage.back().level_m};
        const bool flow_meter = dice.chance(0.3);
        modbus::FieldPlan plan =
            every_signal_of(given.pump_count, given.instruments.level.size(), settings.scan_ms, flow_meter);
        return {std::move(given), std::move(real), settings,   std::move(plan),
                capacity,         volume_m3,       flow_meter, refused};
    }
    throw std::runtime_error("seed " + std::to_string(seed) + ": a thousand draws gave no sound station");
}

std::string described(const RandomStation& station) {
    const core::Settings::Marks& marks = station.settings.marks;
    std::ostringstream text;
    text.precision(4);
    text << int{station.given.pump_count} << " pumps, capacities";
    for (std::size_t pumps = 1; pumps <= station.given.pump_count; ++pumps)
        text << " " << station.capacity.full_m3s(pumps, reference_level_m(station));
    text << " m3/s, bands up to";
    for (std::size_t pumps = 0; pumps < station.given.pump_count; ++pumps)
        text << " " << station.capacity.least_m3s(pumps, reference_level_m(station));
    text << " m3/s; marks " << marks.low_cutoff_m << " stop " << marks.stop_m << " down "
         << marks.stage_down_m << " set " << marks.setpoint_m << " up " << marks.stage_up_m << " alarm "
         << marks.high_alarm_m << " crest " << station.given.well.overflow_level_m << " m; active volume "
         << station.volume_m3 << " m3; " << station.given.supply.frequency_hz << " Hz, ramp "
         << station.given.drive.ramp_up_hz_s << " Hz/s, scan " << station.settings.scan_ms << " ms, "
         << station.given.instruments.level.size() << " transmitters, noise "
         << 1000 * station.given.instruments.level.front().noise_m << " mm, arrest "
         << station.settings.demand.arrest_s << " s; " << station.refused << " draws refused";
    return text.str();
}

}  // namespace freshet::staging_campaign
