// The stand-in station; see the header.
#include "tests/doubles/station_double.hpp"

#include "controller/core/store.hpp"

#include <algorithm>
#include <cmath>

namespace freshet::doubles {

Settings four_pumps() {
    Settings s;
    s.pump_count = 4;
    s.scan_ms = 100;
    s.marks = {.setpoint_m = 2.0,
               .deadband_m = 0.1,
               .start_m = 2.2,
               .stop_m = 1.0,
               .stage_up_m = 2.6,
               .stage_down_m = 1.4,
               .low_cutoff_m = 0.6,
               .high_alarm_m = 3.4};
    s.level_transmitter[0] = {true, 0.0, 5.0};
    s.level_transmitter[1] = {true, 0.0, 5.0};
    s.store = {{{0.0, 0.0}, {5.0, 1000.0}}};
    s.store_points = 2;
    s.curve = {{{0.0, 30.0}, {0.3, 28.0}, {0.6, 24.0}, {0.9, 17.0}, {1.1, 10.0}}};
    s.curve_points = 5;
    s.minimum_flow_m3s = 0.2;
    s.branch_loss_s2m5 = 2.0;
    s.main = {{{0.0, 0.8}}};
    s.main_points = 1;
    s.discharge_level_m = 16.0;
    s.rated_current_a = 100;
    s.drive = {.line_frequency_hz = 60,
               .line_voltage_v = 2300,
               .speed_max_hz = 60,
               .speed_min_hz = 30,
               .ramp_up_hz_s = 4,
               .ramp_down_hz_s = 4,
               .tolerance_hz = 0.3};
    s.demand = {.arrest_s = 120, .rate_max_hz_s = 2};
    s.staging.up_delay_ms = 20'000;
    s.staging.down_delay_ms = 20'000;
    s.staging.forecast = true;
    s.permissives.rest_min_ms = 60'000;
    s.permissives.run_min_ms = 60'000;
    s.permissives.starts_per_hour_max = 6;
    s.permissives.transfers_per_hour_max = 12;
    s.permissives.residual_voltage_ms = 3'000;
    s.step.retry_pause_ms = 30'000;
    s.step.synchronise_ms = 30'000;
    return s;
}

Settings four_pumps_holding_a_pressure() {
    Settings s = four_pumps();
    s.action = core::Action::reverse;
    s.measured = core::Measured::header_pressure;
    s.suction_level_m = 16.0;
    s.level_transmitter = {};
    s.pressure_transmitter = {true, 0, 50};
    s.marks = {.setpoint_m = 25,
               .deadband_m = 0.2,
               .start_m = 24,
               .stop_m = 30,
               .stage_up_m = 23,
               .stage_down_m = 28,
               .low_cutoff_m = 35,
               .high_alarm_m = 15};
    s.signal.rate_max_m_s = 100;
    return s;
}

Settings four_pumps_filling_a_tank() {
    Settings s = four_pumps();
    s.action = core::Action::reverse;
    s.discharge_level_m = s.suction_level_m = -12;  // filled from below
    s.marks = {.setpoint_m = 2.0,
               .deadband_m = 0.1,
               .start_m = 1.8,
               .stop_m = 3.0,
               .stage_up_m = 1.4,
               .stage_down_m = 2.6,
               .low_cutoff_m = 3.4,
               .high_alarm_m = 0.6};
    return s;
}

void Contactor::follow(bool order, std::int64_t now_ms) {
    constexpr std::int32_t usual_ms = 80;
    if (order != ordered) {
        ordered = order;
        due_ms = now_ms + usual_ms + fault.extra_ms;
    }
    if (now_ms < due_ms || closed == ordered) return;
    if (ordered && fault.does_not_close) return;
    if (!ordered && fault.does_not_open) return;
    closed = ordered;
}

StationDouble::StationDouble(const Settings& settings) : settings_(settings), flows_(settings) {
    for (auto& pump : inputs_.pumps) pump.selector.position = core::Selector::automatic;
}

void StationDouble::step(const Advice& given) {
    // The station ignores the advice of a controller that waits, and keeps to the advice before.
    if (given.service != core::Service::waiting) followed_ = given;
    const Advice& advice = followed_;
    const std::int64_t step_ms = settings_.scan_ms;
    const double step_s = 1e-3 * static_cast<double>(step_ms);
    now_ms += step_ms;
    // Without control voltage every contactor drops out.
    constexpr double drop_out_ratio = 0.6;
    const bool dead = line_voltage_v < drop_out_ratio * settings_.drive.line_voltage_v;
    const bool advised = advice.service != core::Service::waiting;
    const auto follow = [&](Contactor& contactor, bool close) {
        contactor.follow((advised ? close : contactor.ordered) && !dead, now_ms);
    };
    follow(output, advice.output_close);
    for (std::size_t p = 0; p < settings_.pump_count; ++p) {
        follow(drive_side[p], advice.pumps[p].drive_side_close);
        follow(line_side[p], advice.pumps[p].line_side_close);
    }
    const bool runs = advice.drive_run || (drive_fault.does_not_stop && running_);
    running_ = runs && !drive_fault.trips && !drive_fault.not_ready && !drive_fault.does_not_run && !dead;
    if (running_) {
        const double up_hz = settings_.drive.ramp_up_hz_s * step_s;
        const double wanted_hz = advice.synchronise ? line_hz : advice.speed_hz;
        if (drive_hz < wanted_hz) drive_hz = drive_hz + up_hz < wanted_hz ? drive_hz + up_hz : wanted_hz;
        if (drive_hz > wanted_hz) drive_hz = drive_hz - up_hz > wanted_hz ? drive_hz - up_hz : wanted_hz;
    } else {
        drive_hz = 0;
    }
    synchronising_ms_ = running_ && advice.synchronise ? synchronising_ms_ + step_ms : 0;
    constexpr std::int64_t sync_takes_ms = 4000;
    in_sync_ = synchronising_ms_ >= sync_takes_ms && !drive_fault.never_in_sync;

    std::size_t on_line = 0;
    double fed_hz = 0;
    for (std::size_t p = 0; p < settings_.pump_count; ++p) {
        if (line_side[p].closed) ++on_line;
        if (drive_side[p].closed && output.closed && !line_side[p].closed) fed_hz = drive_hz;
    }
    constexpr double lowest_delivering_hz = 30;
    const double pumped_m3s = flows_.total_m3s(on_line, fed_hz > lowest_delivering_hz ? fed_hz : 0, level_m);
    constexpr double static_m = 15;
    if (header_m_per_m3s2 > 0) header_pressure_m = static_m + header_m_per_m3s2 * pumped_m3s * pumped_m3s;
    const double area_m2 = core::store_area_m2(settings_, level_m);
    level_m += step_s * (inflow_m3s - pumped_m3s) / area_m2;
    if (level_m > overflow_level_m) level_m = overflow_level_m;
    if (level_m < 0) level_m = 0;
}

const Inputs& StationDouble::look() {
    using core::Quality;
    const Quality link = link_lost ? Quality::bad : Quality::good;
    if (!link_lost) read_ms_ = now_ms;
    const std::int32_t age_ms = core::age_at_ms(now_ms, read_ms_);
    inputs_.time_ms = now_ms;
    if (metered_ms_ == core::never_ms || now_ms - metered_ms_ >= meters_update_ms) {
        metered_ms_ = now_ms;
        metered_level_m_ = level_m;
        metered_header_m_ = header_pressure_m;
        metered_drive_hz_ = drive_hz;
    }
    const auto analog = [&](core::Analog& signal, double value) {
        signal = {link_lost ? signal.value : value, age_ms, link,
                  link_lost ? core::Cause::link_lost : core::Cause::none};
    };
    const auto digital = [&](core::Digital& signal, bool on, bool silent = false) {
        signal = {age_ms, link_lost ? signal.on : on, silent ? Quality::bad : link,
                  link_lost ? core::Cause::link_lost : core::Cause::none};
    };
    for (std::size_t i = 0; i < 2; ++i) {
        core::Analog& reading = inputs_.level[i].reading;
        if (level_fault[i].stops_reading) {
            reading.age_ms = core::age_at_ms(now_ms, level_read_ms_[i]);
            continue;
        }
        level_read_ms_[i] = read_ms_;
        analog(reading, metered_level_m_ + level_error_m[i]);
        if (link_lost) continue;
        const double forced_ma = level_fault[i].loop_ma;
        inputs_.level[i].loop_ma =
            std::isnan(forced_ma) ? 4.0 + 16.0 * (metered_level_m_ + level_error_m[i]) / 5.0 : forced_ma;
        reading.quality = level_quality[i];
        if (level_quality[i] != Quality::good) reading.cause = core::Cause::device_exception;
    }
    analog(inputs_.header_pressure.reading, metered_header_m_);
    inputs_.header_pressure.reading.quality = std::max(link, header_pressure_quality);
    const auto float_switch = [&](core::Digital& signal, bool wet, const FloatFault& fault) {
        digital(signal, (wet || fault.stuck_on) && !fault.stuck_off, fault.silent);
    };
    float_switch(inputs_.high_float, level_m > 3.6, high_float_fault);
    float_switch(inputs_.low_float, level_m > 0.5, low_float_fault);
    digital(inputs_.emergency_stop, emergency_stop);
    digital(inputs_.emergency_stop_reset, reset_pressed);
    digital(inputs_.drive.ready, !drive_fault.not_ready, drive_fault.silent);
    digital(inputs_.drive.running, running_, drive_fault.silent);
    digital(inputs_.drive.tripped, drive_fault.trips, drive_fault.silent);
    digital(inputs_.drive.in_sync, in_sync_ || drive_fault.claims_falsely, drive_fault.silent);
    digital(inputs_.drive.output_closed, output.shown(), output.fault.silent);
    analog(inputs_.drive.frequency_hz, metered_drive_hz_);
    analog(inputs_.drive.voltage_v, 2300 * metered_drive_hz_ / 60);
    analog(inputs_.drive.angle_deg, in_sync_ ? 1.0 + drive_fault.angle_error_deg : 90.0);
    analog(inputs_.line.voltage_v, line_voltage_v);
    analog(inputs_.line.frequency_hz, line_hz);
    digital(inputs_.line.on_generator, on_generator);
    for (std::size_t p = 0; p < settings_.pump_count; ++p) {
        auto& pump = inputs_.pumps[p];
        digital(pump.drive_side_closed, drive_side[p].shown(), drive_side[p].fault.silent);
        digital(pump.line_side_closed, line_side[p].shown(), line_side[p].fault.silent);
        digital(pump.tripped, pump_tripped[p]);
        digital(pump.seal_leak, seal_leak[p]);
        if (!link_lost) pump.selector.position = selector[p];
        pump.selector.quality = selector_silent[p] ? Quality::bad : link;
        pump.selector.age_ms = age_ms;
        const bool fed = line_side[p].closed || (drive_side[p].closed && output.closed && running_);
        analog(pump.current_a, fed && !current_missing[p] ? 90.0 : 0.0);
        analog(pump.winding_temperature_k, hot[p] ? 450.0 : 320.0);
    }
    return inputs_;
}

}  // namespace freshet::doubles
