// A main of one or several reaches: what it loses at a flow, and the inertia of the water in it.
//
// One reason to change: a friction law, or how the loss is made quick to read.
//
// Equations:
//   Darcy-Weisbach: h = (f L/D + K) v^2 / 2g
//     f = 64/Re below Re 2000
//     1/sqrt f = -2 log10(e/(3.7 D) + 2.51/(Re sqrt f)) from Re 4000 (Colebrook)
//     between the two a straight line in Re (nobody knows f there)
//   Hazen-Williams, SI: h = 10.67 L Q^1.852 / (C^1.852 D^4.8704) + K v^2/2g
//   rigid column: (sum L / gA) dQ/dt = head at its start - head at its end - loss
//
// Units: m, m3/s, m2/s.
//
// Valid: full pipes, Re below 1e8, e/D below 0.05; Hazen-Williams for water near 15 C, D > 50 mm, v below 3
// m/s.
//
// Sources: C. F. Colebrook, J. Inst. Civ. Eng. 11 (1939) 133, from memory; Darcy-Weisbach and the constants
// 10.67, 1.852, 4.8704 of Hazen-Williams in SI: common practice. tests/reference/hydraulics/friction_test.cpp
// holds them against published figures.
//
// Leaves out: elasticity of water and wall (see surge.hpp), air in the main, a main that empties itself,
// ageing of the wall.
#pragma once

#include "config/station.hpp"

namespace freshet::config {

/// Bore area, m2.
double area_m2(double diameter_m);
/// Mean velocity, m/s; `diameter_m` > 0.
double velocity_ms(double flow_m3s, double diameter_m);
/// Reynolds number of a full pipe; `viscosity_m2s` > 0.
double reynolds(double flow_m3s, double diameter_m, double viscosity_m2s);

/// Darcy friction factor, laminar: 64/Re. `reynolds` > 0.
double friction_factor_laminar(double reynolds);
/// Darcy friction factor after Colebrook, solved to the last bits; `reynolds` > 0, `relative_roughness` e/D
/// >= 0.
double friction_factor_colebrook(double reynolds, double relative_roughness);
/// Darcy friction factor after Haaland (1983), explicit, within about 2 % of Colebrook.
double friction_factor_haaland(double reynolds, double relative_roughness);
/// Darcy friction factor in any regime as the plant uses it: laminar, transition, Colebrook. `reynolds` > 0.
double friction_factor(double reynolds, double relative_roughness);
/// Head lost to wall friction after Hazen-Williams, m; `flow_m3s` >= 0, C > 0.
double hazen_williams_loss_m(double flow_m3s, double length_m, double diameter_m, double c);
/// Head lost in a reach, friction and fittings, m, with the sign of the flow.
double reach_loss_m(const Reach& reach, const Fluid& fluid, double flow_m3s);
/// Head lost in the whole main, m, with the sign of the flow.
double main_loss_m(const Main& main, const Fluid& fluid, double flow_m3s);
/// Sum of L / gA, s2/m2: head that an acceleration of 1 m3/s per second takes.
double column_inertia_s2m2(const Main& main);
/// Bore of the narrowest reach, m; 0 for a main without reaches.
double narrowest_diameter_m(const Main& main);
/// Bore of the widest reach, m; 0 for a main without reaches.
double widest_diameter_m(const Main& main);

}  // namespace freshet::config
