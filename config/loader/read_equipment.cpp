// Reads a station file's equipment, table by table and key by key, into plain descriptions.
// One reason to change: equipment that a station file can describe.
#include "config/loader/read_equipment.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "config/engineering/checks.hpp"

namespace freshet::config {
namespace {

constexpr std::array duties{Word<Duty>{"empty_well", Duty::empty_well},
                            Word<Duty>{"fill_tank", Duty::fill_tank},
                            Word<Duty>{"hold_pressure", Duty::hold_pressure}};
constexpr std::array frictions{Word<Friction>{"darcy_weisbach", Friction::darcy_weisbach},
                               Word<Friction>{"hazen_williams", Friction::hazen_williams}};

void read_well(TableReader& table, Well& well) {
    in_each(table, "storage", "a list of { level, volume } from the floor up", [&](TableReader& point) {
        well.storage.push_back({point.quantity("level", Quantity::length),
                                point.quantity("volume", Quantity::volume, not_negative)});
    });
    well.overflow_level_m = table.quantity("overflow_level", Quantity::length);
    well.overflow_width_m = table.quantity("overflow_width", Quantity::length, positive);
    well.overflow_coefficient = table.number("overflow_coefficient", positive);
    well.suction_level_m = table.quantity("suction_level", Quantity::length);
    well.vortex_level_m = table.quantity("vortex_level", Quantity::length);
}

void read_pump(TableReader& table, PumpType& pump) {
    in_each(table, "curve", "a list of three or more { flow, head, efficiency, npshr }",
            [&](TableReader& point) {
                pump.curve.push_back({point.quantity("flow", Quantity::flow, not_negative),
                                      point.quantity("head", Quantity::length),
                                      point.quantity("efficiency", Quantity::ratio, fraction),
                                      point.quantity("npshr", Quantity::length, not_negative)});
            });
    pump.rated_speed_rpm = table.quantity("rated_speed", Quantity::rotation, positive);
    pump.minimum_flow_m3s = table.quantity("minimum_flow", Quantity::flow, positive);
    pump.inertia_kgm2 = table.quantity("inertia", Quantity::inertia, positive);
    pump.branch_loss_s2m5 = table.quantity("branch_loss", Quantity::branch_loss, not_negative);
    pump.valve_closing_s = table.quantity("valve_closing", Quantity::duration, not_negative);
}

void read_main(TableReader& table, Main& main) {
    in_each(table, "reach", "one or more [[main.reach]] tables", [&](TableReader& entry) {
        Reach reach;
        reach.length_m = entry.quantity("length", Quantity::length, positive);
        reach.diameter_m = entry.quantity("diameter", Quantity::length, positive);
        const auto friction = entry.deciding_word("friction", std::span<const Word<Friction>>(frictions));
        if (friction == Friction::darcy_weisbach)
            reach.roughness_m = entry.quantity("roughness", Quantity::length, not_negative);
        else if (friction == Friction::hazen_williams)
            reach.hazen_williams_c = entry.number("hazen_williams_c", positive);
        else
            for (const char* key : {"roughness", "hazen_williams_c"}) entry.optional(key);
        reach.friction = friction.value_or(Friction::darcy_weisbach);
        reach.minor_loss_k = entry.number("minor_loss_k", not_negative);
        reach.wave_speed_ms = entry.quantity("wave_speed", Quantity::velocity, positive);
        main.reaches.push_back(reach);
    });
    main.discharge_level_m = table.quantity("discharge_level", Quantity::length);
}

void read_drive(TableReader& table, Drive& drive) {
    drive.ramp_up_hz_s = table.quantity("ramp_up", Quantity::frequency_rate, positive);
    drive.ramp_down_hz_s = table.quantity("ramp_down", Quantity::frequency_rate, positive);
    drive.frequency_max_hz = table.quantity("frequency_max", Quantity::frequency, positive);
    drive.current_limit_a = table.quantity("current_limit", Quantity::current, positive);
    in_each(table, "efficiency", "a list of { load, efficiency }", [&](TableReader& point) {
        drive.efficiency.push_back({point.quantity("load", Quantity::ratio, not_negative),
                                    point.quantity("efficiency", Quantity::ratio, {0, 1, true})});
    });
    drive.slew_hz_s = table.quantity("slew", Quantity::frequency_rate, positive);
    drive.sync_window_deg = table.quantity("sync_window", Quantity::angle, {0, 180, true});
    drive.sync_hold_s = table.quantity("sync_hold", Quantity::duration, not_negative);
    drive.restart_lock_s = table.quantity("restart_lock", Quantity::duration, not_negative);
    drive.flying_start = table.boolean("flying_start");
}

void read_contactor(TableReader& table, std::string_view key, Contactor& contactor) {
    in_table(table, key, "a table { closing, opening, spread }", [&](TableReader& entry) {
        contactor.closing_s = entry.quantity("closing", Quantity::duration, {0, 1, true});
        contactor.opening_s = entry.quantity("opening", Quantity::duration, {0, 1, true});
        contactor.spread_s = entry.quantity("spread", Quantity::duration, {0, 1});
    });
}

void read_supply(TableReader& table, Supply& supply) {
    supply.voltage_v = table.quantity("voltage", Quantity::voltage, positive);
    supply.frequency_hz = table.quantity("frequency", Quantity::frequency, {10, 400});
    supply.short_circuit_va = table.quantity("short_circuit", Quantity::apparent_power, positive);
    supply.short_circuit_x_over_r = table.number("short_circuit_x_over_r", not_negative);
    supply.frequency_wander_hz = table.quantity("frequency_wander", Quantity::frequency, not_negative);
    supply.voltage_wander_ratio = table.quantity("voltage_wander", Quantity::ratio, fraction);
    supply.drop_out_ratio = table.quantity("drop_out", Quantity::ratio, fraction);
}

void read_instruments(TableReader& table, Duty duty, Instruments& instruments) {
    const bool level_wanted = duty != Duty::hold_pressure || table.optional("level") != nullptr;
    const auto read_level = [&](TableReader& entry) {
        LevelTransmitter transmitter;
        transmitter.level_at_4ma_m = entry.quantity("at_4ma", Quantity::length);
        transmitter.level_at_20ma_m = entry.quantity("at_20ma", Quantity::length);
        transmitter.noise_m = entry.quantity("noise", Quantity::length, not_negative);
        transmitter.lag_s = entry.quantity("lag", Quantity::duration, not_negative);
        transmitter.resolution_ma = entry.quantity("resolution", Quantity::current, not_negative) * 1000;
        transmitter.update_s =
            entry.optional_quantity("update", Quantity::duration, not_negative).value_or(0);
        instruments.level.push_back(transmitter);
    };
    if (level_wanted) in_each(table, "level", "one or two [[instruments.level]] tables", read_level);
    instruments.floats_fitted = in_optional_table(table, "floats", [&](TableReader& floats) {
        instruments.high_float_m = floats.quantity("high", Quantity::length);
        instruments.low_float_m = floats.quantity("low", Quantity::length);
        instruments.float_differential_m = floats.quantity("differential", Quantity::length, not_negative);
    });
    const auto read_pressure = [&](TableReader& entry) {
        instruments.pressure_at_4ma_m = entry.quantity("at_4ma", Quantity::length);
        instruments.pressure_at_20ma_m = entry.quantity("at_20ma", Quantity::length);
    };
    if (duty == Duty::hold_pressure)
        instruments.pressure_fitted =
            in_table(table, "header_pressure", "a table { at_4ma, at_20ma }", read_pressure);
    else
        instruments.pressure_fitted = in_optional_table(table, "header_pressure", read_pressure);
}

void read_station(TableReader& table, Station& station) {
    station.name = table.string("name", "a name");
    station.duty = table.word("duty", std::span<const Word<Duty>>(duties));
    station.pump_count = static_cast<std::uint8_t>(table.integer("pumps", 2, 8));
    if (station.duty != Duty::empty_well)
        station.suction_head_m = table.quantity("suction_head", Quantity::length);
    constexpr double day_s = 86400, per_s = 1000;
    station.utc_offset_ms = static_cast<std::int32_t>(
        per_s * table.optional_quantity("utc_offset", Quantity::duration, {-day_s, day_s}).value_or(0));
    const std::vector<double> seconds =
        table.optional_quantities("run_hours", Quantity::duration, not_negative);
    if (station.pump_count != 0 && !seconds.empty() && seconds.size() != station.pump_count)
        table.source().error(
            table.optional("run_hours")->place,
            fmt::format("[station] run_hours has {} values; expected one for each of the {} pumps",
                        seconds.size(), station.pump_count));
    for (std::size_t i = 0; i < std::min(seconds.size(), station.run_hours.size()); ++i)
        station.run_hours[i] = seconds[i] / 3600;
}

void read_fluid(TableReader& table, Fluid& fluid) {
    fluid.density_kgm3 = table.quantity("density", Quantity::density, positive);
    fluid.viscosity_m2s = table.quantity("viscosity", Quantity::viscosity, positive);
    fluid.vapour_pressure_pa = table.quantity("vapour_pressure", Quantity::pressure, not_negative);
}

void read_air_vessel(TableReader& document, Duty duty, AirVessel& vessel) {
    const auto read = [&](TableReader& table) {
        vessel.air_volume_m3 = table.quantity("air_volume", Quantity::volume, positive);
        vessel.precharge_head_m = table.quantity("precharge_head", Quantity::length, not_negative);
        vessel.polytropic_exponent = table.number("polytropic_exponent", {1, 1.67});
    };
    if (duty == Duty::hold_pressure)
        in_table(document, "air_vessel",
                 "an [air_vessel] table, because the vessel is the store of this duty", read);
    else
        in_optional_table(document, "air_vessel", read);
}

/// Says whether there is a tariff and all of it was read without error.
bool read_tariff(TableReader& document, std::vector<TariffBand>& tariff) {
    const std::size_t errors = document.source().errors.size();
    in_each_if_given(document, "tariff", "a list of { from_hour, to_hour, price_per_kwh }",
                     [&](TableReader& band) {
                         tariff.push_back({static_cast<std::uint8_t>(band.integer("from_hour", 0, 23)),
                                           static_cast<std::uint8_t>(band.integer("to_hour", 1, 24)),
                                           band.number("price_per_kwh", not_negative)});
                     });
    return !tariff.empty() && document.source().errors.size() == errors;
}

}  // namespace

Motor read_motor(TableReader& table) {
    Motor motor;
    motor.name = table.string("name", "a name");
    motor.poles = static_cast<std::uint8_t>(table.integer("poles", 2, 24));
    motor.inertia_kgm2 = table.quantity("inertia", Quantity::inertia, positive);
    motor.friction_loss_w = table.quantity("friction_loss", Quantity::power, not_negative);
    motor.core_loss_w = table.quantity("core_loss", Quantity::power, not_negative);
    motor.locked_rotor_time_s = table.quantity("locked_rotor_time", Quantity::duration, positive);
    const Node* circuit = table.optional("circuit");
    in_table(table, "nameplate", "a table with power, voltage, frequency and speed", [&](TableReader& plate) {
        Nameplate& nameplate = motor.nameplate;
        nameplate.power_w = plate.quantity("power", Quantity::power, positive);
        nameplate.voltage_v = plate.quantity("voltage", Quantity::voltage, positive);
        nameplate.frequency_hz = plate.quantity("frequency", Quantity::frequency, {10, 400});
        nameplate.speed_rpm = plate.quantity("speed", Quantity::rotation, positive);
        // With a circuit these figures are optional. Without a circuit the plant estimates the circuit from
        // them.
        const auto figure = [&](std::string_view key, Quantity quantity, Range range) {
            return circuit != nullptr ? plate.optional_quantity(key, quantity, range).value_or(0)
                                      : plate.quantity(key, quantity, range);
        };
        constexpr Range proper_fraction{0, 1, true};
        nameplate.current_a = figure("current", Quantity::current, positive);
        nameplate.power_factor = figure("power_factor", Quantity::ratio, proper_fraction);
        nameplate.efficiency = figure("efficiency", Quantity::ratio, proper_fraction);
        nameplate.locked_rotor_current_ratio = figure("locked_rotor_current", Quantity::ratio, positive);
        nameplate.locked_rotor_torque_ratio = figure("locked_rotor_torque", Quantity::ratio, positive);
        nameplate.breakdown_torque_ratio = figure("breakdown_torque", Quantity::ratio, positive);
    });
    in_optional_table(table, "circuit", [&](TableReader& entry) {
        motor.has_circuit = true;
        motor.circuit.rs_ohm = entry.quantity("rs", Quantity::resistance, positive);
        motor.circuit.xls_ohm = entry.quantity("xls", Quantity::resistance, positive);
        motor.circuit.xm_ohm = entry.quantity("xm", Quantity::resistance, positive);
        motor.circuit.xlr_ohm = entry.quantity("xlr", Quantity::resistance, positive);
        motor.circuit.rr_ohm = entry.quantity("rr", Quantity::resistance, positive);
        motor.circuit.rr_standstill_ratio = entry.optional_number("rr_standstill_ratio", {1}).value_or(1);
        motor.circuit.xlr_standstill_ratio =
            entry.optional_number("xlr_standstill_ratio", {0, 1, true}).value_or(1);
    });
    return motor;
}

bool has_duty(TableReader& document) {
    const Node* table = document.table("station", "a [station] table");
    if (table == nullptr) {
        document.name_misspelt();
        return false;
    }
    TableReader station(document.source(), *table, document.name_within("station"));
    const bool known = station.deciding_word("duty", std::span<const Word<Duty>>(duties)).has_value();
    station.name_misspelt();
    return known;
}

Station read_equipment(TableReader& document) {
    Station station;
    station.file = document.source().file;
    in_table(document, "station", "a [station] table",
             [&](TableReader& table) { read_station(table, station); });
    // Each table is checked as soon as it has been read without error, so that one reading finds most faults.
    Findings findings;
    if (station.duty != Duty::hold_pressure &&
        in_table(document, "well", "a [well] table",
                 [&](TableReader& table) { read_well(table, station.well); }))
        check_well(findings, station.well);
    if (in_table(document, "pump", "a [pump] table",
                 [&](TableReader& table) { read_pump(table, station.pump); }))
        check_pump(findings, station.pump);
    if (in_table(document, "motor", "a [motor] table",
                 [&](TableReader& table) { station.motor = read_motor(table); }))
        check_motor(findings, station.motor);
    if (in_table(document, "main", "a [main] table",
                 [&](TableReader& table) { read_main(table, station.main); }))
        check_main(findings, station.main);
    in_table(document, "fluid", "a [fluid] table",
             [&](TableReader& table) { read_fluid(table, station.fluid); });
    if (in_table(document, "drive", "a [drive] table",
                 [&](TableReader& table) { read_drive(table, station.drive); }))
        check_drive(findings, station.drive);
    in_table(document, "contactors", "a [contactors] table", [&](TableReader& table) {
        read_contactor(table, "drive_output", station.drive_output);
        read_contactor(table, "drive_side", station.drive_side);
        read_contactor(table, "line_side", station.line_side);
    });
    in_table(document, "supply", "a [supply] table",
             [&](TableReader& table) { read_supply(table, station.supply); });
    if (in_table(document, "instruments", "an [instruments] table",
                 [&](TableReader& table) { read_instruments(table, station.duty, station.instruments); }))
        check_instruments(findings, station.instruments);
    read_air_vessel(document, station.duty, station.air_vessel);
    if (read_tariff(document, station.tariff)) check_tariff(findings, station.tariff);
    report(document.source(), document.node(), findings);
    return station;
}

}  // namespace freshet::config
