// Figures of pressure surge in a main, for reports and checks; the plant's step itself has a rigid column.
//
// One reason to change: which surge figures a report gives.
//
// Equations:
//
//   stop within 2L/a (Joukowsky): dh = a dv / g
//   even stop over a longer time T: dh (2L/a) / T
//
// Units: m, m/s, s.
//
// Valid: liquid-full pipes, dv well below the wave speed a.
//
// Sources: N. Joukowsky (1898); wave speed and slow closure: E. B. Wylie and V. L. Streeter, Fluid Transients
// in Systems, 1993; both from memory, and held against published examples in
// tests/reference/hydraulics/surge_test.cpp.
//
// Leaves out: reflections at changes of bore, friction, column separation. A study of a real main needs the
// method of characteristics and a specialist.
#pragma once

#include "config/station.hpp"

namespace freshet::plant {

/// Head rise of a velocity stopped at once, m.
double joukowsky_head_m(double wave_speed_ms, double velocity_change_ms);
/// Time of a wave to the far end and back, s, over all reaches.
double critical_period_s(const config::Main& main);
/// Time over which a flow must be stopped evenly so that the head changes by at most `head_m`, s. `sudden_m`:
/// the head of a stop at once. 0 when even that stays within `head_m`; both above zero.
double even_stop_s(double sudden_m, double head_m, double critical_period_s);
/// Largest Joukowsky head over the reaches when `flow_m3s` stops at once: the figure for a trip of all pumps,
/// m.
double trip_surge_head_m(const config::Main& main, double flow_m3s);
/// Water that the main takes in per metre of head by elasticity, m2: sum of g A L / a^2.
double elastic_storage_m2(const config::Main& main);

}  // namespace freshet::plant
