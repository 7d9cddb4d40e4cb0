// The compliance of a booster set's header: a closed air vessel, and the stretch of the pipes.
//
// One reason to change: how the header stores water under pressure.
//
// Equations:
//
//   vessel: config/hydraulics/air_vessel.hpp; the vessel holds the water V0 - V(p), and no water below the
//     pre-charge
//   pipes: they hold g A L / a^2 per metre of head, a the wave speed
//
// Units: m of the pumped fluid (gauge), m3, m2.
//
// Valid: gauge head above minus the atmosphere.
//
// Source: elastic storage of a pipe: E. B. Wylie and V. L. Streeter, Fluid Transients in Systems, 1993, from
// memory.
//
// Leaves out: heat exchange over time, dissolved air, throttling at the vessel's neck.
#pragma once

#include "config/station.hpp"

namespace freshet::plant {

/// Water held at the header as a function of the gauge head there.
class HeaderStorage {
  public:
    struct Reading {
        double water_m3 = 0, slope_m2 = 0;
    };

    explicit HeaderStorage(const config::Station& station);

    /// The water held in excess of the water at zero gauge head, and its rise per metre of head (always above
    /// zero).
    Reading at(double pressure_head_m) const;

  private:
    config::AirVessel vessel_;
    double atmosphere_head_m_ = 0, elastic_m2_ = 0;
};

}  // namespace freshet::plant
