// Unit hydrographs: the sewer's triangle and the NRCS dimensionless curve.
// One reason to change: the shape with which a catchment answers a short burst of rain.
//
// Equations and their sources stand with each function. Units: s, m, m2, m3/s. Valid: a catchment that
// answers in proportion and always alike; the NRCS curve for times of concentration of 0.1 to 10 h. Left out:
// storage that fills up, a shape that changes with the size of the storm.
#pragma once

#include <array>
#include <cstddef>

namespace freshet::plant {

/// Peak flow of one sewer triangle, m3/s, for `rain_m` on `area_m2` in one short burst: 2 R A P / (T (1 +
/// K)). The base is T (1 + K), so that the triangle's area is R A P. R: share of the rain that enters, 0 to
/// 1; T: time to peak, s, above 0; K: recession time over time to peak, not negative. Source: the R, T, K
/// method of rainfall-derived inflow and infiltration, EPA/600/R-08/010 (2008).
constexpr double sewer_triangle_peak_m3s(double r, double time_to_peak_s, double recession_ratio,
                                         double area_m2, double rain_m) {
    return 2.0 * r * area_m2 * rain_m / (time_to_peak_s * (1.0 + recession_ratio));
}

/// Ordinate of the same triangle at `t_s` after the burst, m3/s.
constexpr double sewer_triangle_m3s(double r, double time_to_peak_s, double recession_ratio, double area_m2,
                                    double rain_m, double t_s) {
    const double peak_m3s = sewer_triangle_peak_m3s(r, time_to_peak_s, recession_ratio, area_m2, rain_m);
    const double base_s = time_to_peak_s * (1.0 + recession_ratio);
    if (t_s <= 0 || t_s >= base_s) return 0;
    return t_s <= time_to_peak_s ? peak_m3s * t_s / time_to_peak_s
                                 : peak_m3s * (base_s - t_s) / (base_s - time_to_peak_s);
}

/// Flow over peak flow by time over time to peak: NRCS dimensionless unit hydrograph of peak rate factor 484.
/// Source: USDA-NRCS, National Engineering Handbook Part 630 Ch. 16 (March 2007), Table 16-1.
struct DimensionlessOrdinate {
    double time_ratio = 0, flow_ratio = 0;
};
inline constexpr std::array<DimensionlessOrdinate, 33> dimensionless_unit_hydrograph{{
    {0, 0},       {0.1, 0.03},  {0.2, 0.1},   {0.3, 0.19},  {0.4, 0.31}, {0.5, 0.47}, {0.6, 0.66},
    {0.7, 0.82},  {0.8, 0.93},  {0.9, 0.99},  {1, 1},       {1.1, 0.99}, {1.2, 0.93}, {1.3, 0.86},
    {1.4, 0.78},  {1.5, 0.68},  {1.6, 0.56},  {1.7, 0.46},  {1.8, 0.39}, {1.9, 0.33}, {2, 0.28},
    {2.2, 0.207}, {2.4, 0.147}, {2.6, 0.107}, {2.8, 0.077}, {3, 0.055},  {3.2, 0.04}, {3.4, 0.029},
    {3.6, 0.021}, {3.8, 0.015}, {4, 0.011},   {4.5, 0.005}, {5, 0},
}};

/// Linear between the ordinates of the table; nothing outside 0 to 5.
constexpr double dimensionless_flow_ratio(double time_ratio) {
    const auto& table = dimensionless_unit_hydrograph;
    if (time_ratio <= 0 || time_ratio >= table.back().time_ratio) return 0;
    std::size_t i = 1;
    while (table[i].time_ratio < time_ratio) ++i;
    const double share =
        (time_ratio - table[i - 1].time_ratio) / (table[i].time_ratio - table[i - 1].time_ratio);
    return table[i - 1].flow_ratio + share * (table[i].flow_ratio - table[i - 1].flow_ratio);
}

/// Area below the table by trapezoids, flow ratio times time ratio. The printed table gives 1.336 where its
/// peak rate factor asks for 645.33/484 = 1.333; whoever convolves with it must divide by the table's own
/// area.
constexpr double dimensionless_area() {
    const auto& table = dimensionless_unit_hydrograph;
    double area = 0;
    for (std::size_t i = 1; i < table.size(); ++i)
        area += 0.5 * (table[i].flow_ratio + table[i - 1].flow_ratio) *
                (table[i].time_ratio - table[i - 1].time_ratio);
    return area;
}

/// Time to peak of the unit hydrograph of a burst: Tp = burst/2 + 0.6 Tc. Source: NEH 630
/// Ch. 16.
constexpr double time_to_peak_s(double burst_length_s, double time_of_concentration_s) {
    return 0.5 * burst_length_s + 0.6 * time_of_concentration_s;
}

/// Burst into which the excess is cut: 0.133 Tc as NEH 630 Ch. 16 recommends, but not longer than 0.1 h, the
/// interval of the NRCS rain tables. With the longer bursts alone, peaks of slow catchments fall up to 11 %
/// below those of TR-55 Table F-1; with the limit they stay within 6 % from 0.1 to 10 h.
constexpr double burst_s(double time_of_concentration_s) {
    const double recommended_s = 0.133 * time_of_concentration_s;
    return recommended_s < 360.0 ? recommended_s : 360.0;
}

/// Peak of the unit hydrograph, m3/s: qp = 484 A Q / Tp with A in square miles, Q in inches, Tp in hours,
/// which is 0.75 A Q / Tp in coherent units (484 / 645.33). Source: NEH 630 Ch. 16, eq. 16-6.
constexpr double unit_hydrograph_peak_m3s(double area_m2, double runoff_m, double peak_time_s,
                                          double peak_rate_factor = 484.0) {
    constexpr double square_mile_inch_per_hour = 5280.0 * 5280.0 / 12.0 / 3600.0;  // in ft3/s: 645.33
    return peak_rate_factor / square_mile_inch_per_hour * area_m2 * runoff_m / peak_time_s;
}

}  // namespace freshet::plant
