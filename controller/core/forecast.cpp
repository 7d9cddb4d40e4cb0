// Observer and look-ahead; see the header.
#include "controller/core/forecast.hpp"

namespace freshet::core {

void Observer::start_at(double need_m, double inflow_m3s) noexcept {
    need_m_ = need_m;
    inflow_m3s_ = inflow_m3s;
    observed_s_ = 0;
    known_ = true;
}

void Observer::step(double need_m, double pumped_m3s, double area_m2, double time_constant_s,
                    double elapsed_s) noexcept {
    const double innovation_m = need_m - need_m_;
    const double rate = elapsed_s / time_constant_s;
    need_m_ += elapsed_s * (inflow_m3s_ - pumped_m3s) / area_m2 + 2 * rate * innovation_m;
    inflow_m3s_ += area_m2 * rate / time_constant_s * innovation_m;
    observed_s_ += elapsed_s;
}

bool Observer::settled(double time_constant_s) const noexcept {
    constexpr double time_constants = 5;
    return known_ && observed_s_ >= time_constants * time_constant_s;
}

double time_to_mark_s(double need_m, double mark_m, double surplus_m3s, double area_m2) noexcept {
    if (!(surplus_m3s > 0)) return never_s;
    if (need_m >= mark_m) return 0;
    return area_m2 * (mark_m - need_m) / surplus_m3s;
}

}  // namespace freshet::core
