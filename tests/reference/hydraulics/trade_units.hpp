// Units in which the sources of these checks print their figures, in SI.
// One reason to change: a source that prints in another unit.
//
// Sources: foot, inch, pound, US and imperial gallon, mile: exact by definition (NIST Special Publication
// 811, 2008, Appendix B, from memory); slug, psi and mechanical horsepower computed from these and 9.80665
// m/s2.
#pragma once

namespace freshet::tests {

inline constexpr double foot_m = 0.3048;
inline constexpr double inch_m = 0.0254;
inline constexpr double us_gallon_m3 = 3.785411784e-3;
inline constexpr double gpm_m3s = us_gallon_m3 / 60;
inline constexpr double imperial_gpm_m3s = 4.54609e-3 / 60;
inline constexpr double cfs_m3s = foot_m * foot_m * foot_m;
inline constexpr double barrel_m3 = 42 * us_gallon_m3;
inline constexpr double pound_kg = 0.45359237;
inline constexpr double pound_per_ft3_kgm3 = pound_kg / (foot_m * foot_m * foot_m);
inline constexpr double slug_per_ft3_kgm3 = 515.378818;
inline constexpr double psi_pa = 6894.757293;
inline constexpr double hp_w = 745.6998716;  // mechanical, 550 ft lbf/s
inline constexpr double mile_m = 1609.344;

}  // namespace freshet::tests
