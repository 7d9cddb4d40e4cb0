// The inflow of the well: dry-weather pattern, sewer response and surface runoff, or a measured series.
// One reason to change: the parts of the inflow.
//
// Model. The rain of all storms is on an even grid. Within a cell the intensity is constant.
//
// Sewer: each triangular unit hydrograph is a sum of three ramps. A ramp convolved with rain intensity is the
// integral of the cumulative depth. Therefore q = R A s [I(t) - (1 + 1/K) I(t - T) + I(t - T - KT)/K], with I
// the integral of rain depth and s = 2/(T^2 (1 + K)). This is exact, and the cost does not depend on T.
//
// Surface: the curve number gives the cumulative runoff from the cumulative rain. The runoff of each short
// burst releases a dimensionless unit hydrograph (NEH 630 Ch. 16), and the inflow is the sum of these
// hydrographs.
//
// The series with straight lines between grid points contains exactly the volumes R A P and A Q. For the
// sewer, every grid point takes each cell's rain with the mean of the triangle over this cell. For the
// surface, the samples of the unit hydrograph are scaled to a sum of one.
//
// Dry weather: hourly factors times the average, with straight lines between the middles of the hours, by the
// weekday of station time (UTC). A slow random wander may be added.
//
// Units: s, m, m3/s. Valid: R between 0 and 1, T, K and areas above zero, curve numbers above 0 up to 100,
// any length of run.
//
// Sources: the R, T, K method, EPA/600/R-08/010 (2008); TR-55 and NEH 630 Ch. 10 and 16 (runoff.hpp,
// unit_hydrograph.hpp); hourly factors on an average: common practice.
//
// Leaves out: snow, groundwater that continues to enter for days, surcharge and storage in the sewer,
// recovery of losses between storms (all storms of a run have one initial abstraction together), daylight
// saving.
#pragma once

#include <cstdint>

#include "config/scenario.hpp"
#include "sim_plant/weather/uniform_series.hpp"

namespace freshet::plant {

class Inflow {
  public:
    /// `start_ms`: station time at t = 0. `duration_s`: length of the run. The constructor calculates the
    /// whole series. The loader has checked the configuration: durations, times to peak and areas in use are
    /// above zero.
    Inflow(const config::Weather& weather, std::int64_t start_ms, double duration_s, std::uint64_t seed);

    /// Inflow at `t_s` after the start of the run, m3/s; zero or more. After the end of the run the last
    /// value continues.
    [[nodiscard]] double at_m3s(double t_s) const { return flow_.at(t_s); }

    /// Rain intensity at `t_s`, m/s (x 3.6e6 for mm/h), for pages and reports.
    [[nodiscard]] double rain_rate_m_s(double t_s) const { return rain_.slope_at(t_s); }

  private:
    struct Parts;
    explicit Inflow(Parts&& parts);
    static Parts prepare(const config::Weather& weather, std::int64_t start_ms, double duration_s,
                         std::uint64_t seed);

    UniformSeries flow_, rain_;
};

/// Factor of the dry-weather pattern at a station time: hourly factors, with straight lines between the
/// middles of the hours.
double dry_weather_factor(const config::DryWeather& dry, std::int64_t time_ms);

}  // namespace freshet::plant
