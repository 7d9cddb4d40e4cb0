// The demand: a PI controller for the pump that the drive feeds, tuned by an arrest time.
// One reason to change: how the speed follows the measured value.
#pragma once

#include "controller/core/memo.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Tuning of a PI controller for an integrating process.
struct Tuning {
    double gain_hz_m = 0;  ///< Hz per metre of error
    double integral_s = 0;
};

/// PI tuning for a store whose level answers a change of speed by `response_m_s_hz` (metres per second per
/// Hz). After a step of inflow the controller arrests the level within `arrest_s` seconds:
///
///     gain          = 2 / (response x arrest time)
///     integral time = 2 x arrest time
///
/// Source: the internal-model rule for a pure integrator, Chien and Fruehauf, "Consider IMC tuning to improve
/// controller performance", Chemical Engineering Progress 86 (1990), from memory. Both roots of the loop lie
/// at -1 / arrest time. So a step of inflow moves the level by at most the following, at the arrest time:
///
///     step x arrest time / (e x area)
///
/// A response or an arrest time that is not above zero gives a tuning of zero.
Tuning arrest_tuning(double response_m_s_hz, double arrest_s) noexcept;

/// Inputs of the demand in one scan.
struct DemandInputs {
    double need_m = 0;  ///< error; positive when more pumping is needed
    double lowest_hz = 0, highest_hz = 0;
    double elapsed_s = 0;  ///< since the last scan
};

/// A PI controller whose integral is a speed. The integral stays within the limits of the speed, so it cannot
/// wind up.
class Demand {
  public:
    /// Starts at `speed_hz` without a bump. The next output differs from `speed_hz` only by what the error
    /// adds in that scan.
    void start_at(double speed_hz, double need_m, const Tuning& tuning) noexcept;

    /// Does one scan. Returns the wanted speed, Hz, within the limits of `inputs`. The speed changes by at
    /// most `rate_max_hz_s`.
    double step(const DemandInputs& inputs, const Tuning& tuning, double rate_max_hz_s) noexcept;

    /// The wanted speed of the last scan, Hz.
    double speed_hz() const noexcept { return speed_hz_; }

  private:
    /// Everything that the integral's step in a scan depends on. The value of a store is measured less often
    /// than the controller scans, so the step stays the same for some scans.
    struct StepKey {
        double proportional_hz = 0, elapsed_s = 0, integral_s = 0;
        bool operator==(const StepKey&) const = default;
    };

    double integral_hz_ = 0;
    double speed_hz_ = 0;
    Memo<StepKey, double> step_hz_;
};

}  // namespace freshet::core
