// Fits and reads the instruments. The header describes the model.
//
// One reason to change: which instruments a station has, or how often they measure.
#include "sim_plant/station/instruments.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim_plant/sensors/current_loop.hpp"
#include "sim_plant/station/part_seeds.hpp"

namespace freshet::plant {
namespace {

using config::index_of;
using config::StationSignal;

constexpr double s_per_ms = 0.001;
constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
constexpr double pressure_noise_ratio = 0.001, pressure_lag_s = 0.2, pressure_resolution_ma = 0.002;
constexpr std::size_t level_transmitters_max = 2;

}  // namespace

void Instruments::Fitted::read(double true_value, std::int64_t now_ms, config::Readings& readings) {
    if (now_ms < next_ms) return;
    next_ms = now_ms + update_ms;
    const double current_ma = transmitter.step_ma(true_value);
    const TransmitterDesign& design = transmitter.design();
    readings[loop] = current_ma;
    readings[value] =
        loop_failed(current_ma) ? nothing : loop_value(current_ma, design.value_at_4ma, design.value_at_20ma);
}

Instruments::Instruments(const config::Station& station, const config::Scenario& scenario,
                         std::int32_t scan_ms) {
    const config::Instruments& fitted = station.instruments;
    for (std::size_t i = 0; i < std::min(fitted.level.size(), level_transmitters_max); ++i) {
        const std::int64_t update_ms =
            std::max<std::int64_t>(std::llround(fitted.level[i].update_s / s_per_ms), scan_ms);
        level_.push_back({Transmitter{design_of(fitted.level[i]), static_cast<double>(update_ms) * s_per_ms,
                                      part_seed(scenario.seed, PartSeed::level, i)},
                          index_of(i == 0 ? StationSignal::level_1_loop : StationSignal::level_2_loop),
                          index_of(i == 0 ? StationSignal::level_1 : StationSignal::level_2), update_ms,
                          scenario.start_ms});
    }
    if (fitted.pressure_fitted) {
        const double span_m = fitted.pressure_at_20ma_m - fitted.pressure_at_4ma_m;
        const TransmitterDesign design{fitted.pressure_at_4ma_m, fitted.pressure_at_20ma_m,
                                       std::abs(span_m) * pressure_noise_ratio, pressure_lag_s,
                                       pressure_resolution_ma};
        const std::int64_t update_ms = station.duty == config::Duty::hold_pressure ? scan_ms : metering_ms;
        pressure_.emplace(Fitted{Transmitter{design, static_cast<double>(update_ms) * s_per_ms,
                                             part_seed(scenario.seed, PartSeed::pressure)},
                                 index_of(StationSignal::header_pressure_loop),
                                 index_of(StationSignal::header_pressure), update_ms, scenario.start_ms});
    }
    if (fitted.floats_fitted) {
        high_float_.emplace(fitted.high_float_m, fitted.float_differential_m);
        low_float_.emplace(fitted.low_float_m, fitted.float_differential_m);
    }
}

void Instruments::settle(double level_m, double pressure_m) {
    for (Fitted& one : level_) one.transmitter.settle(level_m);
    if (pressure_) pressure_->transmitter.settle(pressure_m);
}

void Instruments::read(double level_m, double pressure_m, std::int64_t now_ms, config::Readings& readings) {
    for (Fitted& one : level_) one.read(level_m, now_ms, readings);
    if (pressure_) pressure_->read(pressure_m, now_ms, readings);
    if (!high_float_) return;
    readings[index_of(StationSignal::high_float)] = high_float_->step(level_m) ? 1.0 : 0.0;
    readings[index_of(StationSignal::low_float)] = low_float_->step(level_m) ? 1.0 : 0.0;
}

std::int64_t Instruments::next_level_ms() const {
    std::int64_t next_ms = std::numeric_limits<std::int64_t>::max();
    for (const Fitted& one : level_) next_ms = std::min(next_ms, one.next_ms);
    return next_ms;
}

void Instruments::set_fault(config::SignalIndex loop, config::FaultKind kind, bool active, double amount) {
    const auto change = [&](Transmitter& transmitter) {
        if (active)
            transmitter.set_fault(kind, amount);
        else
            transmitter.clear_fault(kind);
    };
    for (Fitted& one : level_)
        if (one.loop == loop) change(one.transmitter);
    if (pressure_ && pressure_->loop == loop) change(pressure_->transmitter);
}

}  // namespace freshet::plant
