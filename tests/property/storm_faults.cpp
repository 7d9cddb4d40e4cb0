// Puts faults on a station and takes faults off; see the header.
#include "tests/property/storm_faults.hpp"

#include <array>

namespace freshet::storms {

namespace {

using doubles::StationDouble;

/// Place 0 is the drive output, and then each pump has its drive side and its line side.
doubles::Contactor& contactor_of(StationDouble& station, std::size_t where) {
    if (where == 0) return station.output;
    const std::size_t pump = (where - 1) / 2;
    return (where - 1) % 2 == 0 ? station.drive_side[pump] : station.line_side[pump];
}

/// Whether a fault of transmitter 0, 1 or both (2) is a fault of transmitter `i`.
bool is_of(std::size_t where, std::size_t i) {
    return where == 2 || where == i;
}

bool is_of_contactor(Fault kind) {
    return kind <= Fault::contact_silent;
}
bool is_of_drive(Fault kind) {
    return kind >= Fault::drive_trips && kind <= Fault::angle_off;
}
bool is_of_pump(Fault kind) {
    return kind == Fault::pump_trips || kind == Fault::selector_moved || kind == Fault::current_missing ||
           kind == Fault::pump_unwell;
}
bool is_of_level(Fault kind) {
    return kind >= Fault::level_quality && kind <= Fault::level_stops;
}

void put_on_contactor(doubles::ContactorFault& fault, Fault kind, Dice& dice) {
    if (kind == Fault::does_not_close) fault.does_not_close = true;
    if (kind == Fault::does_not_open) fault.does_not_open = true;
    if (kind == Fault::late) fault.extra_ms = static_cast<std::int32_t>(dice.between_ms(50, 3000));
    if (kind == Fault::lies_closed) fault.lies_closed = true;
    if (kind == Fault::lies_open) fault.lies_open = true;
    if (kind == Fault::contact_silent) fault.silent = true;
}

void put_on_drive(doubles::DriveFault& fault, Fault kind, Dice& dice) {
    if (kind == Fault::drive_trips) fault.trips = true;
    if (kind == Fault::drive_not_ready) fault.not_ready = true;
    if (kind == Fault::never_in_sync) fault.never_in_sync = true;
    if (kind == Fault::claims_falsely) fault.claims_falsely = true;
    if (kind == Fault::does_not_run) fault.does_not_run = true;
    if (kind == Fault::does_not_stop) fault.does_not_stop = true;
    if (kind == Fault::drive_silent) fault.silent = true;
    if (kind == Fault::angle_off) fault.angle_error_deg = dice.between(-60, 60);
}

void put_on_pump(StationDouble& station, std::size_t pump, Fault kind, Dice& dice) {
    if (kind == Fault::pump_trips) station.pump_tripped[pump] = true;
    if (kind == Fault::selector_moved)
        station.selector[pump] = dice.one_in(2) ? core::Selector::hand : core::Selector::off;
    if (kind == Fault::current_missing) station.current_missing[pump] = true;
    if (kind == Fault::pump_unwell) (dice.one_in(2) ? station.hot : station.seal_leak)[pump] = true;
}

/// A fault on one transmitter, or on both transmitters, as when their input card fails.
void put_on_level(StationDouble& station, std::size_t where, Fault kind, Dice& dice) {
    core::Quality quality = core::Quality::good;
    double error_m = 0;
    double loop_ma = 0;
    if (kind == Fault::level_quality)
        quality = dice.one_in(2) ? core::Quality::bad : core::Quality::uncertain;
    if (kind == Fault::level_jumps) error_m = dice.between(-2.5, 2.5);
    if (kind == Fault::loop_fails) {
        constexpr std::array<double, 5> loops_ma{0.0, 3.5, 3.7, 20.8, 21.5};
        loop_ma = loops_ma[dice.one_of(loops_ma.size())];
    }
    for (std::size_t i = 0; i < 2; ++i) {
        if (!is_of(where, i)) continue;
        if (kind == Fault::level_quality) station.level_quality[i] = quality;
        if (kind == Fault::level_jumps) station.level_error_m[i] = error_m;
        if (kind == Fault::loop_fails) station.level_fault[i].loop_ma = loop_ma;
        if (kind == Fault::level_stops) station.level_fault[i].stops_reading = true;
    }
}

void put_on_station(StationDouble& station, Fault kind, Dice& dice) {
    if (kind == Fault::link_lost) station.link_lost = true;
    if (kind == Fault::supply_fails) station.line_voltage_v = dice.one_in(2) ? 0 : dice.between(1300, 2200);
    if (kind == Fault::emergency_stop) station.emergency_stop = true;
    if (kind == Fault::generator) station.on_generator = true;
    if (kind == Fault::float_fails) {
        doubles::FloatFault& fault = dice.one_in(2) ? station.high_float_fault : station.low_float_fault;
        const std::size_t how = dice.one_of(3);
        fault.stuck_on = how == 0;
        fault.stuck_off = how == 1;
        fault.silent = how == 2;
    }
}

}  // namespace

std::size_t put_on(StationDouble& station, Fault kind, std::size_t pumps, Dice& dice) {
    // Every fault takes the same random numbers first, so that a seed keeps its storm when a fault changes.
    const std::size_t contactor = dice.one_of(1 + 2 * pumps);
    const std::size_t pump = dice.one_of(pumps);
    const std::size_t transmitter = dice.one_of(3);
    if (is_of_contactor(kind)) {
        put_on_contactor(contactor_of(station, contactor).fault, kind, dice);
        return contactor;
    }
    if (is_of_pump(kind)) {
        put_on_pump(station, pump, kind, dice);
        return pump;
    }
    if (is_of_level(kind)) {
        put_on_level(station, transmitter, kind, dice);
        return transmitter;
    }
    if (is_of_drive(kind))
        put_on_drive(station.drive_fault, kind, dice);
    else
        put_on_station(station, kind, dice);
    return 0;
}

void take_off(StationDouble& station, const ActiveFault& fault) {
    const std::size_t where = fault.where;
    if (is_of_contactor(fault.kind)) contactor_of(station, where).fault = {};
    if (is_of_drive(fault.kind)) station.drive_fault = {};
    for (std::size_t i = 0; i < 2; ++i) {
        if (!is_of_level(fault.kind) || !is_of(where, i)) continue;
        if (fault.kind == Fault::level_quality)
            station.level_quality[i] = core::Quality::good;
        else if (fault.kind == Fault::level_jumps)
            station.level_error_m[i] = 0;
        else
            station.level_fault[i] = {};
    }
    constexpr double line_voltage_v = 2300;
    if (fault.kind == Fault::pump_trips) station.pump_tripped[where] = false;
    if (fault.kind == Fault::selector_moved) station.selector[where] = core::Selector::automatic;
    if (fault.kind == Fault::link_lost) station.link_lost = false;
    if (fault.kind == Fault::supply_fails) station.line_voltage_v = line_voltage_v;
    if (fault.kind == Fault::emergency_stop) station.emergency_stop = false;
    if (fault.kind == Fault::generator) station.on_generator = false;
    if (fault.kind == Fault::current_missing) station.current_missing[where] = false;
    if (fault.kind == Fault::pump_unwell) station.hot[where] = station.seal_leak[where] = false;
    if (fault.kind == Fault::float_fails) station.high_float_fault = station.low_float_fault = {};
}

}  // namespace freshet::storms
