// Assigns an input to each signal of the dictionary.
// One reason to change: see the header.
#include "hal/modbus/field_targets.hpp"

namespace freshet::modbus {
namespace {

using config::PumpSignal;
using config::StationSignal;

InputTarget analog(core::Analog& at) {
    return {.number = &at.value, .age_ms = &at.age_ms, .quality = &at.quality, .cause = &at.cause};
}

InputTarget digital(core::Digital& at) {
    return {.on = &at.on, .age_ms = &at.age_ms, .quality = &at.quality, .cause = &at.cause};
}

InputTarget loop(core::Transmitter& at) {
    InputTarget target = analog(at.reading);
    target.number = &at.loop_ma;
    return target;
}

std::optional<InputTarget> target_of_pump(core::PumpInputs& pump, PumpSignal signal) {
    switch (signal) {
        case PumpSignal::drive_side_closed:
            return digital(pump.drive_side_closed);
        case PumpSignal::line_side_closed:
            return digital(pump.line_side_closed);
        case PumpSignal::tripped:
            return digital(pump.tripped);
        case PumpSignal::seal_leak:
            return digital(pump.seal_leak);
        case PumpSignal::selector:
            return InputTarget{.selector = &pump.selector.position,
                               .age_ms = &pump.selector.age_ms,
                               .quality = &pump.selector.quality,
                               .cause = &pump.selector.cause};
        case PumpSignal::current:
            return analog(pump.current_a);
        case PumpSignal::winding_temperature:
            return analog(pump.winding_temperature_k);
        case PumpSignal::count:
            break;
    }
    return std::nullopt;
}

std::optional<InputTarget> target_of_station(core::Inputs& inputs, StationSignal signal) {
    switch (signal) {
        case StationSignal::level_1_loop:
            return loop(inputs.level[0]);
        case StationSignal::level_2_loop:
            return loop(inputs.level[1]);
        case StationSignal::level_1:
            return analog(inputs.level[0].reading);
        case StationSignal::level_2:
            return analog(inputs.level[1].reading);
        case StationSignal::header_pressure_loop:
            return loop(inputs.header_pressure);
        case StationSignal::header_pressure:
            return analog(inputs.header_pressure.reading);
        case StationSignal::station_flow:
            return analog(inputs.station_flow_m3s);
        case StationSignal::high_float:
            return digital(inputs.high_float);
        case StationSignal::low_float:
            return digital(inputs.low_float);
        case StationSignal::emergency_stop:
            return digital(inputs.emergency_stop);
        case StationSignal::on_generator:
            return digital(inputs.line.on_generator);
        case StationSignal::line_voltage:
            return analog(inputs.line.voltage_v);
        case StationSignal::line_frequency:
            return analog(inputs.line.frequency_hz);
        case StationSignal::drive_ready:
            return digital(inputs.drive.ready);
        case StationSignal::drive_running:
            return digital(inputs.drive.running);
        case StationSignal::drive_tripped:
            return digital(inputs.drive.tripped);
        case StationSignal::drive_in_sync:
            return digital(inputs.drive.in_sync);
        case StationSignal::drive_output_closed:
            return digital(inputs.drive.output_closed);
        case StationSignal::drive_frequency:
            return analog(inputs.drive.frequency_hz);
        case StationSignal::drive_voltage:
            return analog(inputs.drive.voltage_v);
        case StationSignal::drive_angle:
            return analog(inputs.drive.angle_deg);
        case StationSignal::emergency_stop_reset:
            return digital(inputs.emergency_stop_reset);
        case StationSignal::plant_time:
        case StationSignal::count:
            break;
    }
    return std::nullopt;
}

}  // namespace

std::optional<InputTarget> target_of(core::Inputs& inputs, config::SignalIndex signal) {
    if (signal < config::station_signals.size())
        return target_of_station(inputs, static_cast<StationSignal>(signal));
    const std::size_t beyond = signal - config::station_signals.size();
    return target_of_pump(inputs.pumps[beyond / config::pump_signals.size()],
                          static_cast<PumpSignal>(beyond % config::pump_signals.size()));
}

}  // namespace freshet::modbus
