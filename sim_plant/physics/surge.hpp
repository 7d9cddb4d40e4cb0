// Figures of pressure surge in a main, for reports and checks; the plant's step itself has a rigid column.
//
// One reason to change: which surge figures a report gives.
//
// Equations:
//   Joukowsky, for a stop within 2L/a: dh = a dv / g;
//   slower stops, uniform: dh (2L/a)/T;
//   wave speed a = sqrt((K/rho) / (1 + K D / (E e))).
//
// Units: m, m/s, s, Pa.
//
// Valid: liquid-full pipes, dv well below a.
//
// Sources: N. Joukowsky (1898); wave speed and slow closure: E. B. Wylie and V. L. Streeter, Fluid Transients
// in Systems, 1993; both from memory, and held against published examples in
// tests/reference/hydraulics/surge_test.cpp.
//
// Leaves out: reflections at changes of bore, friction, column separation: a study of a real main needs the
// method of characteristics and a specialist.
#pragma once

#include "config/station.hpp"

namespace freshet::plant {

/// Pressure wave speed, m/s. `bulk_pa` K, `elasticity_pa` E of the wall; E infinite: unconfined liquid.
double wave_speed_ms(double bulk_pa, double density_kgm3, double elasticity_pa, double diameter_m,
                     double wall_m);
/// Head rise of a velocity stopped at once, m.
double joukowsky_head_m(double wave_speed_ms, double velocity_change_ms);
/// Time of a wave to the far end and back, s, over all reaches.
double critical_period_s(const config::Main& main);
/// Head rise of a velocity stopped evenly over `stop_s`, m: Joukowsky's up to the critical period, then
/// falling with it.
double stop_head_m(double wave_speed_ms, double velocity_change_ms, double critical_period_s, double stop_s);
/// Largest Joukowsky head over the reaches when `flow_m3s` stops at once: the figure for a trip of all pumps,
/// m.
double trip_surge_head_m(const config::Main& main, double flow_m3s);
/// Water that the main takes in per metre of head by elasticity, m2: sum of g A L / a^2.
double elastic_storage_m2(const config::Main& main);

}  // namespace freshet::plant
