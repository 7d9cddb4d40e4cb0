// What flows into the well: dry-weather pattern, sewer response and surface runoff, or a measured series.
// One reason to change: what makes up the inflow.
//
// Model. Rain of all storms is laid on an even grid; within a cell its intensity is constant.
//
// Sewer: each triangular unit hydrograph is a sum of three ramps, and a ramp convolved with rain intensity is
// the integral of the cumulative depth; so q = R A s [I(t) - (1 + 1/K) I(t - T) + I(t - T - KT)/K], with I
// the integral of rain depth and s = 2/(T^2 (1 + K)). This is exact and costs the same for any T.
//
// Surface: cumulative runoff by curve number of the cumulative rain; its increments over short bursts each
// release a dimensionless unit hydrograph (NEH 630 Ch. 16), added up.
//
// The series as it is read (straight lines between grid points) holds exactly the volumes R A P and A Q: the
// sewer's because every grid point takes each cell's rain with the triangle's mean over that cell, the
// surface's because the samples of its unit hydrograph are scaled to one.
//
// Dry weather: hourly factors times the average, straight lines between the middles of the hours, by the
// weekday of station time (UTC); a seeded slow wander may be laid over it.
//
// Units: s, m, m3/s. Valid: R between 0 and 1, T, K and areas above zero, curve numbers above 0 up to 100,
// any length of run.
//
// Sources: the R, T, K method, EPA/600/R-08/010 (2008); TR-55 and NEH 630 Ch. 10 and 16 (runoff.hpp,
// unit_hydrograph.hpp); hourly factors on an average: common practice.
//
// Left out: snow, groundwater that keeps infiltrating for days, surcharge and storage in the sewer, recovery
// of losses between storms (all storms of a run count as one for the initial abstraction), daylight saving.
#pragma once

#include <cstdint>

#include "config/scenario.hpp"
#include "sim_plant/weather/uniform_series.hpp"

namespace freshet::plant {

class Inflow {
  public:
    /// `start_ms`: station time at t = 0; `duration_s`: length of the run. Precomputes everything; the
    /// configuration is as the loader has checked it (durations, times to peak and areas above zero where
    /// used).
    Inflow(const config::Weather& weather, std::int64_t start_ms, double duration_s, std::uint64_t seed);

    /// Inflow at `t_s` after the start of the run, m3/s; not negative. After the end of the run the last
    /// value holds.
    [[nodiscard]] double at_m3s(double t_s) const { return flow_.at(t_s); }

    /// Rain intensity at `t_s`, m/s (x 3.6e6 for mm/h). For pages and reports.
    [[nodiscard]] double rain_rate_m_s(double t_s) const { return rain_.slope_at(t_s); }

  private:
    struct Parts;
    explicit Inflow(Parts&& parts);
    static Parts prepare(const config::Weather& weather, std::int64_t start_ms, double duration_s,
                         std::uint64_t seed);

    UniformSeries flow_, rain_;
};

/// Factor of the dry-weather pattern at a station time: hourly factors, straight between the middles of the
/// hours.
double dry_weather_factor(const config::DryWeather& dry, std::int64_t time_ms);

}  // namespace freshet::plant
