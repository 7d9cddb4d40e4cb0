// The inflow, which no instrument measures, estimated from level and pump flow; and the time until the level
// reaches a mark.
// One reason to change: how the inflow or that time is estimated.
#pragma once

#include <cstdint>

namespace freshet::core {

/// A fixed-gain observer of the volume balance. A is the area of the store, h its level, T the time constant:
///
///     A dh/dt = inflow - pumped     (emptying a well)
///     A dh/dt = pumped - demand     (filling a tank)
///
/// When a tank is filled, `inflow` is the demand. A positive `inflow` needs more pumping in both cases. The
/// gains are 2/T on the level and A/T^2 on the inflow, which give the characteristic polynomial (s + 1/T)^2.
/// So an error of the first estimate decays without overshoot.
class Observer {
  public:
    /// Starts at `need_m` with a first estimate of the inflow, m3/s. Call again after the measured value was
    /// lost.
    void start_at(double need_m, double inflow_m3s) noexcept;
    /// Forgets the inflow. The inflow is not known until the next start.
    void forget() noexcept { known_ = false; }

    /// Does one step of `elapsed_s` seconds. `need_m` rises with the inflow. `area_m2` and `time_constant_s`
    /// must be above zero.
    void step(double need_m, double pumped_m3s, double area_m2, double time_constant_s,
              double elapsed_s) noexcept;

    /// True while the observer has an estimate of the inflow.
    bool known() const noexcept { return known_; }
    /// True when the observer has run for five time constants, so that the first estimate no longer counts.
    bool settled(double time_constant_s) const noexcept;
    /// The estimated inflow, m3/s. Use only while known().
    double inflow_m3s() const noexcept { return inflow_m3s_; }

  private:
    double need_m_ = 0, inflow_m3s_ = 0, observed_s_ = 0;
    bool known_ = false;
};

/// Time until `need_m` rises to `mark_m`, s; at least zero. `surplus_m3s` is the inflow less the flow of the
/// pumps, so that the time is area x (mark - need) / surplus. Returns `never_s` for a surplus of zero or
/// less, because the need then never reaches the mark. `area_m2` must be above zero.
inline constexpr double never_s = 1e12;
double time_to_mark_s(double need_m, double mark_m, double surplus_m3s, double area_m2) noexcept;

}  // namespace freshet::core
