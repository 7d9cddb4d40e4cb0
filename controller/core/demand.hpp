// The demand: a PI on the one pump that the drive feeds, tuned by an arrest time.
// One reason to change: how the speed follows the measured value.
#pragma once

#include "controller/core/settings.hpp"

namespace freshet::core {

/// Tuning of a PI on an integrating process.
struct Tuning {
    double gain_hz_m = 0;  ///< Hz per metre of error
    double integral_s = 0;
};

/// PI tuning for a store whose level answers speed by `response_m_s_hz` (metres per second per Hz), so that
/// after a step of inflow the level is arrested in `arrest_s`: gain = 2 / (response x arrest), integral time
/// = 2 x arrest. The internal-model rule for a pure integrator, Chien and Fruehauf, "Consider IMC tuning to
/// improve controller performance", Chemical Engineering Progress 86 (1990), from memory; both roots of the
/// loop lie at -1/arrest, so a step of inflow moves the level by step x arrest / (e x area) at the most, at
/// the arrest time. A response of zero gives zero.
Tuning arrest_tuning(double response_m_s_hz, double arrest_s) noexcept;

/// What the demand is asked in one scan.
struct DemandInputs {
    double need_m = 0;  ///< error in the sense of "more pumping": value less setpoint, or the reverse
    double lowest_hz = 0, highest_hz = 0;
    double elapsed_s = 0;  ///< since the last scan
};

/// A PI whose integral is a speed and stays within the speed's limits, so it never winds up.
class Demand {
  public:
    /// Takes up at `speed_hz` without a bump: the next output differs from it only by what the error then
    /// adds.
    void take_up(double speed_hz, double need_m, const Tuning& tuning) noexcept;

    /// One scan; returns the speed wanted, within the limits.
    double step(const DemandInputs& inputs, const Tuning& tuning, double rate_max_hz_s) noexcept;

    double speed_hz() const noexcept { return speed_hz_; }

  private:
    double integral_hz_ = 0;
    double speed_hz_ = 0;
};

}  // namespace freshet::core
