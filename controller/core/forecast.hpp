// The inflow nobody measures, observed from level and pump flow; and how soon it will reach a mark.
// One reason to change: how inflow is observed or looked ahead.
#pragma once

#include <cstdint>

namespace freshet::core {

/// A fixed-gain observer of the volume balance A dh/dt = inflow - pumped (emptying), or pumped - demand
/// (filling: then `inflow` is the demand, and positive still means "needs more pumping"). Both poles at
/// -1/time constant, so an error of the first guess dies away without overshoot.
class Observer {
  public:
    /// Starts, or starts again after the measured value was lost, at a need and with a first guess of the
    /// inflow.
    void take_up(double need_m, double inflow_m3s) noexcept;
    /// Forgets everything: the inflow is not known until take_up.
    void lose() noexcept { known_ = false; }

    /// One scan. `need_m` rises with the inflow; `area_m2` and `time_constant_s` above zero.
    void step(double need_m, double pumped_m3s, double area_m2, double time_constant_s,
              double elapsed_s) noexcept;

    bool known() const noexcept { return known_; }
    /// Settled: observed for five time constants, so the first guess no longer counts.
    bool settled(double time_constant_s) const noexcept;
    double inflow_m3s() const noexcept { return inflow_m3s_; }

  private:
    double need_m_ = 0, inflow_m3s_ = 0, watched_s_ = 0;
    bool known_ = false;
};

/// Time until `need_m` rises to `mark_m` when `surplus_m3s` more comes in than can be pumped away, s; at
/// least zero. A surplus of zero or less never reaches it: returns `never_s`.
inline constexpr double never_s = 1e12;
double time_to_mark_s(double need_m, double mark_m, double surplus_m3s, double area_m2) noexcept;

}  // namespace freshet::core
