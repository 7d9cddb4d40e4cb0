// The rare work of the transmitter: construction and faults. One reason to change: how a transmitter fails.
#include "sim_plant/sensors/transmitter.hpp"

#include <cmath>

#include "sim_plant/sensors/current_loop.hpp"

namespace freshet::plant {

namespace {

using config::FaultKind;

constexpr double erratic_high_ma = 24.0;
constexpr double spikes_per_s = 0.1;
constexpr double slow_default_s = 60.0;
constexpr double drops_out_default_ratio = 0.5;
constexpr double under_range_default_ma = 3.5;
constexpr double over_range_default_ma = 21.5;
constexpr double finest_resolution_ma = 1e-6;

/// The share of the way to a constant quantity that a first-order lag covers in one step.
double taken_of(double step_s, double lag_s) {
    return lag_s > 0 ? -std::expm1(-step_s / lag_s) : 1.0;
}

constexpr std::uint16_t bit_of(FaultKind kind) {
    return static_cast<std::uint16_t>(1U << static_cast<unsigned>(kind));
}

constexpr double or_default(double amount, double fallback) {
    return amount != 0 ? amount : fallback;
}

constexpr bool is_transmitter_fault(FaultKind kind) {
    return kind <= FaultKind::over_range;
}

}  // namespace

Transmitter::Transmitter(const TransmitterDesign& design, double step_s, std::uint64_t seed)
    : lag_kept_(1.0 - taken_of(step_s, design.lag_s)),
      lag_taken_(taken_of(step_s, design.lag_s)),
      noise_(seed),
      noise_scale_(design.noise / NoiseSource::bell_deviation),
      resolution_ma_(design.resolution_ma > 0 ? design.resolution_ma : finest_resolution_ma),
      fault_noise_(~seed),
      step_s_(step_s),
      design_(design) {
    counts_per_unit_ = 16.0 / (design.value_at_20ma - design.value_at_4ma) / resolution_ma_;
    counts_at_zero_ = 4.0 / resolution_ma_ - design.value_at_4ma * counts_per_unit_ + 0.5;
    // Whole counts, so that rounding never leaves the range. The tolerance is necessary because 3.8/0.002 is
    // not exactly 1900 in floating point.
    constexpr double tolerance = 1e-6;
    counts_low_ = std::ceil(loop_measuring_low_ma / resolution_ma_ - tolerance) + 0.5;
    counts_high_ = std::floor(loop_measuring_high_ma / resolution_ma_ + tolerance) + 0.5;
    settle(design.value_at_4ma);
}

void Transmitter::settle(double value) {
    lagged_ = value;
    slow_ = value;
    in_service_ma(value);
}

bool Transmitter::set_fault(FaultKind kind, double amount) {
    if (!is_transmitter_fault(kind)) return false;
    const bool fresh = !has_fault(kind);
    amounts_[static_cast<std::size_t>(kind)] = amount;
    faults_ = static_cast<std::uint16_t>(faults_ | bit_of(kind));
    if (kind == FaultKind::lagging) {
        slow_taken_ = taken_of(step_s_, or_default(amount, slow_default_s));
        if (fresh) slow_ = lagged_;
    }
    if (kind == FaultKind::drift && fresh) drift_ = 0;
    if (kind == FaultKind::drops_out && fresh) second_s_ = 1.0;
    return true;
}

bool Transmitter::clear_fault(FaultKind kind) {
    if (!is_transmitter_fault(kind)) return false;
    faults_ = static_cast<std::uint16_t>(faults_ & ~bit_of(kind));
    return true;
}

bool Transmitter::has_fault(FaultKind kind) const {
    return is_transmitter_fault(kind) && (faults_ & bit_of(kind)) != 0;
}

double Transmitter::faulty_ma(double noise) {
    const auto amount = [this](FaultKind kind) { return amounts_[static_cast<std::size_t>(kind)]; };

    // A falsifying fault keeps its own time even while another fault hides its effect.
    double value = lagged_;
    if (has_fault(FaultKind::lagging)) {
        slow_ += (lagged_ - slow_) * slow_taken_;
        value = slow_;
    }
    if (has_fault(FaultKind::drift)) {
        drift_ += amount(FaultKind::drift) * step_s_;
        value += drift_;
    }
    if (has_fault(FaultKind::offset)) value += amount(FaultKind::offset);
    if (has_fault(FaultKind::spike)) {
        const double draw = fault_noise_.uniform();
        if (draw < spikes_per_s * step_s_) {
            const bool up = draw < 0.5 * spikes_per_s * step_s_;
            value += up ? amount(FaultKind::spike) : -amount(FaultKind::spike);
        }
    }
    if (has_fault(FaultKind::drops_out)) {
        second_s_ += step_s_;
        if (second_s_ >= 1.0) {
            second_s_ -= 1.0;
            open_ =
                fault_noise_.uniform() < or_default(amount(FaultKind::drops_out), drops_out_default_ratio);
        }
    }

    if (has_fault(FaultKind::dead)) return 0.0;
    if (has_fault(FaultKind::under_range))
        return or_default(amount(FaultKind::under_range), under_range_default_ma);
    if (has_fault(FaultKind::over_range))
        return or_default(amount(FaultKind::over_range), over_range_default_ma);
    if (has_fault(FaultKind::drops_out) && open_) return 0.0;
    if (has_fault(FaultKind::erratic)) return erratic_high_ma * fault_noise_.uniform();
    if (has_fault(FaultKind::frozen)) return last_ma_;
    return in_service_ma(value + noise);
}

}  // namespace freshet::plant
