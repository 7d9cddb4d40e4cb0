// A 4-20 mA transmitter: range, lag, noise, resolution, NAMUR NE 43 limits, and its faults.
// One reason to change: how a transmitter measures, or fails.
//
// Model. The measured quantity passes a first-order lag, dx/dt = (u - x)/lag, which is solved exactly for a
// quantity that is constant over the step: x := x k + u (1 - k), k = exp(-step/lag). k is calculated once.
// Noise (noise.hpp gives its distribution) is added after the lag, so that the noise at the output has the
// standard deviation of the design. The noise of different steps is independent. The current is rounded to
// the resolution and kept within 3.8 to 20.5 mA, as NAMUR NE 43 requires of a transmitter in service.
// Units: mA, s, and the unit of the measured quantity. Valid: a range whose ends differ, any step. Source of
// the lag: first-order element, any text on process control; of the kinds of failure: common practice. Leaves
// out: hydrostatic or echo physics, temperature, the loop's burden, the conversion in the receiving card.
#pragma once

#include <array>
#include <cstdint>

#include "config/scenario.hpp"
#include "config/station.hpp"
#include "sim_plant/physics/noise.hpp"

namespace freshet::plant {

/// A transmitter, in the unit of the measured quantity (m, m3/s, K ...).
struct TransmitterDesign {
    double value_at_4ma = 0;
    double value_at_20ma = 1;      ///< differs from value_at_4ma
    double noise = 0;              ///< standard deviation at the output
    double lag_s = 0;              ///< 0: no lag
    double resolution_ma = 0.002;  ///< 0: a millionth of a milliampere
};

constexpr TransmitterDesign design_of(const config::LevelTransmitter& level) {
    return {level.level_at_4ma_m, level.level_at_20ma_m, level.noise_m, level.lag_s, level.resolution_ma};
}

/// The effect of each fault, and the meaning of its amount (the value in brackets takes the place of 0):
///   dead          no loop current, 0 mA: supply lost or wire broken
///   frozen        the present current stays, noise included
///   erratic       a new random current between 0 and 24 mA in every step
///   offset        plausible but wrong: the amount is added, in the unit of the quantity
///   lagging       a second lag, s [60]
///   drops_out     the loop is open for whole seconds at random; share of the lost time [0.5]
///   drift         an error that grows from zero by the amount per second, in units/s
///   spike         once in ten seconds on average, one reading is off by the amount, up or down
///   under_range   failure current, mA [3.5]
///   over_range    failure current, mA [21.5]
/// Several faults may be present at once. Then the first of this list has precedence: dead, under_range,
/// over_range, drops_out, erratic, frozen, and last the faults that only falsify the value.
class Transmitter {
  public:
    /// `step_s` is the time between two calls of step_ma. Transmitters with different seeds have independent
    /// noise.
    Transmitter(const TransmitterDesign& design, double step_s, std::uint64_t seed);

    /// Sets the lag to rest at a value, as after long constant conditions.
    void settle(double value);

    /// One step: takes the true quantity, returns the loop current in mA.
    double step_ma(double true_value) {
        lagged_ = lagged_ * lag_kept_ + true_value * lag_taken_;
        const double noise = noise_.bell() * noise_scale_;
        if (faults_ != 0) return faulty_ma(noise);
        return in_service_ma(lagged_ + noise);
    }

    /// Sets a fault or changes its amount. False when a transmitter cannot have this fault.
    bool set_fault(config::FaultKind kind, double amount);
    /// Clears a fault. The transmitter measures again at once. False when a transmitter cannot have this
    /// fault.
    bool clear_fault(config::FaultKind kind);

    [[nodiscard]] const TransmitterDesign& design() const { return design_; }

  private:
    static constexpr std::size_t kinds = static_cast<std::size_t>(config::FaultKind::over_range) + 1;

    double in_service_ma(double value) {
        double counts = value * counts_per_unit_ + counts_at_zero_;
        counts = counts < counts_low_ ? counts_low_ : counts;
        counts = counts > counts_high_ ? counts_high_ : counts;
        last_ma_ = static_cast<double>(static_cast<std::int64_t>(counts)) * resolution_ma_;
        return last_ma_;
    }
    double faulty_ma(double noise);
    [[nodiscard]] bool has_fault(config::FaultKind kind) const;

    // The members that every step reads are next to each other, for the processor's cache.
    double lagged_ = 0, lag_kept_ = 0, lag_taken_ = 1;
    NoiseSource noise_;
    double noise_scale_ = 0;
    std::uint16_t faults_ = 0;  ///< a bit for each kind
        // In counts of the resolution and half a count high, so that a cut to whole counts rounds to the
        // nearest.
    double counts_per_unit_ = 0, counts_at_zero_ = 0, counts_low_ = 0, counts_high_ = 0, resolution_ma_ = 0;
    double last_ma_ = 4;

    NoiseSource fault_noise_;
    double step_s_ = 0;
    double slow_ = 0, slow_taken_ = 1, drift_ = 0, second_s_ = 0;
    bool open_ = false;
    std::array<double, kinds> amounts_{};
    TransmitterDesign design_;
};

}  // namespace freshet::plant
