// Published limits for pumping stations, and the small formulas that belong to them.
// One reason to change: a rule of the trade.
#pragma once

#include <optional>

namespace freshet::config {

/// Active volume that gives a cycle time t at the worst inflow, q/2, to a pump of flow q that level starts
/// and stops: V = t q / 4. Seconds, m3/s, m3. Source: UFC 3-240-04A (EI 11C201, 1997), para 7 "Storage
/// volume".
constexpr double active_volume_m3(double cycle_s, double pump_m3s) {
    return cycle_s * pump_m3s / 4;
}

/// Time from start to start at an inflow between nothing and the pump's flow: V/Qi + V/(q - Qi). Same source.
constexpr double cycle_time_s(double volume_m3, double pump_m3s, double inflow_m3s) {
    return volume_m3 / inflow_m3s + volume_m3 / (pump_m3s - inflow_m3s);
}

/// The shortest cycle time, at half the pump's flow: 4 V / q. The rule also holds for an inflow between the
/// flows of two combinations of pumps; q is then the difference of the two flows.
constexpr double worst_cycle_time_s(double volume_m3, double pump_m3s) {
    return cycle_time_s(volume_m3, pump_m3s, pump_m3s / 2);
}

/// Recommended range of the shortest cycle time, by size of the motor. Nothing above 185 kW, where the
/// manufacturer decides. Source: UFC 3-240-04A, Table 7-1:
///     below 15 kW    10 to 15 min
///     to 75 kW       15 to 20 min
///     to 185 kW      20 to 30 min
struct CycleTimes {
    double least_s = 0, most_s = 0;
};
constexpr std::optional<CycleTimes> shortest_cycle(double motor_w) {
    constexpr double minute_s = 60;
    if (motor_w < 15e3) return CycleTimes{10 * minute_s, 15 * minute_s};
    if (motor_w <= 75e3) return CycleTimes{15 * minute_s, 20 * minute_s};
    if (motor_w <= 185e3) return CycleTimes{20 * minute_s, 30 * minute_s};
    return std::nullopt;
}

/// Flow that a sewage station must pump with one unit out: the design maximum flow, or 2.5 times the average,
/// whichever is greater. Source: 9VAC25-790-380 A.2 (Virginia); the maximum alone: MIL-HDBK-1005/9A, 2.5.3.2.
constexpr double required_firm_capacity_m3s(double average_m3s, double maximum_m3s) {
    const double of_average_m3s = 2.5 * average_m3s;
    return maximum_m3s > of_average_m3s ? maximum_m3s : of_average_m3s;
}

/// Velocities of a sewage force main, m/s. Sources:
///     at least 0.6 m/s with one pump, at most 3 m/s: UFC 3-240-06A (EI 11C201), para 7-1;
///     at least 0.61 m/s at the design rate: Wis. Adm. Code NR 110.14(3)(j)1.
inline constexpr double main_velocity_least_ms = 0.6, main_velocity_most_ms = 3.0;

/// Minimum continuous flow over the flow at best efficiency, of small pumps: about a quarter. Source: UFC
/// 3-230-13A (TM 5-813-9), para 4-1.
inline constexpr double minimum_flow_of_best = 0.25;

/// How often a motor may be started on the line: at most A an hour, at most B over the inertia of its load an
/// hour, at least C between a stop and a start. Source: NEMA MG 10, Table 2-3 (MG 1, 12.54), designs A and B,
/// 1 to 250 hp, transcribed from a reproduction (scribd.com/document/450805826), not from the printed
/// standard.
struct StartDuty {
    double starts_per_hour = 0, starts_per_hour_lb_ft2 = 0, rest_s = 0;
};
/// For the next larger size of the table; nothing above 250 hp or for other than 2, 4 or 6 poles.
std::optional<StartDuty> start_duty(double motor_hp, int poles);
/// min(A, B / Wk2), the load's inertia at the motor's shaft in lb ft2. Source: EASA Electrical Engineering
/// Handbook, citing the same table.
constexpr double allowed_starts_per_hour(const StartDuty& duty, double load_lb_ft2) {
    const double by_load = duty.starts_per_hour_lb_ft2 / load_lb_ft2;
    return by_load < duty.starts_per_hour ? by_load : duty.starts_per_hour;
}

/// Share of the supply's voltage that is lost when a motor at rest is switched on. The motor would take
/// `start_va` at full voltage; the supply has a short-circuit power of `short_circuit_va`. S / (Ssc + S),
/// impedances in phase. Source: voltage divider; "Motor Starting Voltage Drop Analysis", 28 February 2026
/// (toolgrit.com/guides/motor-starting-voltage-drop), has "roughly 5%" for 5 % of Ssc.
constexpr double start_dip_ratio(double start_va, double short_circuit_va) {
    return start_va / (short_circuit_va + start_va);
}

/// Residual voltage, as a share of the line's, below which a motor may be closed onto the line again without
/// synchronising: 25 %, in some texts up to 30 %. Source: common practice.
inline constexpr double residual_voltage_ratio = 0.25;

/// Code letter of a motor by its locked-rotor kVA per horsepower, A to V without I, O, Q. Source: NEMA MG 1
/// 10.37, as reproduced on the web; held against NEC 430.7(B) in
/// tests/reference/machines/starting_current_test.cpp.
char code_letter(double locked_rotor_kva_per_hp);

/// Full-load current of a three-phase cage motor, A: the sizes of the table from 60 to 500 hp, at 460 or 2300
/// V and 60 Hz. Nothing outside the table. Source: NEC (NFPA 70) 2008, Table 430.250.
std::optional<double> table_full_load_current_a(double power_hp, double voltage_v, double frequency_hz);

}  // namespace freshet::config
