// The PI demand; see the header.
#include "controller/core/demand.hpp"

#include "controller/core/numbers.hpp"

namespace freshet::core {

Tuning arrest_tuning(double response_m_s_hz, double arrest_s) noexcept {
    if (!(response_m_s_hz > 0) || !(arrest_s > 0)) return {};
    return {2 / (response_m_s_hz * arrest_s), 2 * arrest_s};
}

void Demand::start_at(double speed_hz, double need_m, const Tuning& tuning) noexcept {
    speed_hz_ = speed_hz;
    integral_hz_ = speed_hz - tuning.gain_hz_m * need_m;
}

double Demand::step(const DemandInputs& inputs, const Tuning& tuning, double rate_max_hz_s) noexcept {
    const double proportional_hz = tuning.gain_hz_m * inputs.need_m;
    if (tuning.integral_s > 0) {
        // The integral stays within the limits of the speed. An integral that starts outside the limits only
        // moves towards them. So noise does not move the demand away from a limit, and the demand leaves the
        // limit as soon as the error changes sign.
        const double step_hz = step_hz_.at({proportional_hz, inputs.elapsed_s, tuning.integral_s}, [&] {
            return proportional_hz * inputs.elapsed_s / tuning.integral_s;
        });
        const double most_hz = integral_hz_ > inputs.highest_hz ? integral_hz_ : inputs.highest_hz;
        const double least_hz = integral_hz_ < inputs.lowest_hz ? integral_hz_ : inputs.lowest_hz;
        integral_hz_ = bounded(integral_hz_ + step_hz, least_hz, most_hz);
    }
    const double wanted_hz = integral_hz_ + proportional_hz;
    const double change_hz = rate_max_hz_s * inputs.elapsed_s;
    const double reached_hz = bounded(bounded(wanted_hz, speed_hz_ - change_hz, speed_hz_ + change_hz),
                                      inputs.lowest_hz, inputs.highest_hz);
    speed_hz_ = reached_hz;
    return reached_hz;
}

}  // namespace freshet::core
