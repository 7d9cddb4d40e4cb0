// The volume balance; see the header.
#include "controller/core/balance.hpp"

namespace freshet::core {

namespace {

/// Flow of the running pumps from their curves, m3/s.
double pumped_m3s(const Sight& sight, const FlowTable& flows) noexcept {
    const Picture& picture = sight.picture;
    const bool drive_feeds = picture.output_closed && picture.drive_running && picture.drive_hz_known &&
                             (picture.drive_side_closed & ~picture.line_side_closed) != 0;
    return flows.total_m3s(picture.on_line, drive_feeds ? picture.drive_hz : 0, sight.measured().value_m);
}

}  // namespace

void add_to_balance(Balance& balance, const Sight& sight, double elapsed_s) noexcept {
    if (sight.measured().quality != Quality::good) return;
    balance.need_sum_m += sight.need_m;
    balance.observed_s += elapsed_s;
    ++balance.samples;
}

void update_balance(Balance& balance, const Sight& sight, const FlowTable& flows, const Settings& settings,
                    Advice& advice) noexcept {
    advice.pumped_m3s = pumped_m3s(sight, flows);
    if (balance.samples == 0) {
        if (sight.measured().quality == Quality::bad) balance.observer.forget();
        return;
    }
    const double mean_m = balance.need_sum_m / static_cast<double>(balance.samples);
    if (!balance.observer.known()) balance.observer.start_at(mean_m, advice.pumped_m3s);
    balance.observer.step(mean_m, advice.pumped_m3s, sight.area_m2, settings.staging.observer_s,
                          balance.observed_s);
    advice.inflow_m3s = balance.observer.inflow_m3s();
    balance.need_sum_m = balance.observed_s = 0;
    balance.samples = 0;
}

}  // namespace freshet::core
