// Constants of the earth that every water-side model shares.
// One reason to change: none is expected; both are defined values.
#pragma once

namespace freshet::config {

/// Standard acceleration of free fall, m/s2 (3rd CGPM, 1901).
inline constexpr double gravity_ms2 = 9.80665;
/// Standard atmosphere, Pa (10th CGPM, 1954). A station high above the sea has less: left out.
inline constexpr double atmosphere_pa = 101325;

}  // namespace freshet::config
