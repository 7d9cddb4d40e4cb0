// Rules of the trade for large motors that are figures, not physics: code letters, dips, unbalance, table
// currents. (How often a motor may start: config/engineering/rules.hpp.)
// One reason to change: a published rule or table.
//
// Sources, each held against its published figures in tests/reference/machines/starting_current_test.cpp:
//   code letters: NEMA MG 1 10.37, as reproduced on the web;
//   dip: short-circuit ratio, T. Gonen, Electric Power Distribution System Engineering, 1st ed. 1986,
//   chapter 9;
//   unbalance: definition and 2 u^2 rule of DOE Motor Systems Tip Sheet 7 (November 2012), derating curve of
//   NEMA MG 1 14.36 as read by a table on the web;
//   currents: NEC (NFPA 70) 2008, Table 430.250.
// Units in each name. Leaves out: everything that the makers of a given machine know better.
#pragma once

#include <array>
#include <optional>

namespace freshet::plant {

/// Locked-rotor current of a code letter's kVA per horsepower, A.
double locked_rotor_current_a(double kva_per_hp, double power_hp, double voltage_v);

/// Dip at a bus, share of its voltage: start power over the bus's short-circuit power plus the start
/// (`in_series`), or over the short-circuit power alone as hand methods do.
double voltage_dip(double start_va, double short_circuit_va, bool in_series = true);

/// Largest deviation of a line voltage from their mean, over the mean.
double voltage_unbalance(const std::array<double, 3>& line_v);
/// Factor on the temperature rise: 1 + 2 u^2 with u in percent over 100.
double unbalance_rise_factor(double unbalance);
/// Factor on rated power; 1 at no unbalance, valid to 5 percent.
double unbalance_derating(double unbalance);

/// Table current of a three-phase cage motor, A: 60 to 500 hp at 460 or 2300 V. Nothing outside the table.
std::optional<double> table_full_load_current_a(double power_hp, double voltage_v);

}  // namespace freshet::plant
