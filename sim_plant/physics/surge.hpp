// Figures of pressure surge in a main, for reports and checks. The plant's step itself has a rigid column.
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
// Valid: pipes full of liquid, dv well below the wave speed a.
//
// Sources: N. Joukowsky (1898); wave speed and slow closure: E. B. Wylie and V. L. Streeter, Fluid Transients
// in Systems, 1993; both from memory, and compared with published examples in
// tests/reference/hydraulics/surge_test.cpp.
//
// Leaves out: reflections at changes of bore, friction, column separation. A study of a real main needs the
// method of characteristics and a specialist.
#pragma once

#include "config/station.hpp"

namespace freshet::plant {

/// Head rise when a velocity stops at once, m.
double joukowsky_head_m(double wave_speed_ms, double velocity_change_ms);
/// Time of a wave to the far end and back, s, over all reaches.
double critical_period_s(const config::Main& main);
/// Time over which a flow must stop evenly so that the head changes by at most `head_m`, s. `sudden_m`: the
/// head change of a sudden stop. 0 when the sudden change stays within `head_m`. Both heads are above zero.
double even_stop_s(double sudden_m, double head_m, double critical_period_s);
/// Largest Joukowsky head over the reaches when `flow_m3s` stops at once, m: the figure for a trip of all
/// pumps.
double trip_surge_head_m(const config::Main& main, double flow_m3s);
/// Volume that the main takes in per metre of head by its elasticity, m2: sum of g A L / a^2.
double elastic_storage_m2(const config::Main& main);

}  // namespace freshet::plant
