// The time without readings; see the header.
#include "controller/core/hold.hpp"

#include <algorithm>

#include "controller/core/need.hpp"
#include "controller/core/store.hpp"

namespace freshet::core {

namespace {

constexpr double longest_s = 3600;

/// The time until the store has gained `room_m3` at `gain_m3s`, s.
double time_to_fill_s(double room_m3, double gain_m3s) noexcept {
    return gain_m3s > 0 ? std::max(room_m3, 0.0) / gain_m3s : longest_s;
}

/// The time that the store allows, s.
double allowed_s(const Hold& hold, double doubt_m3s, double value_m, const NeedMarks& marks,
                 const Settings& settings) noexcept {
    constexpr double sure_deviations = 1.5, change = 0.1;
    const double apart_m3s = sure_deviations * doubt_m3s + change * hold.inflow_m3s;
    const double rise_m3s = hold.inflow_m3s + apart_m3s - hold.outflow_m3s;
    const double fall_m3s = hold.outflow_m3s - std::max(hold.inflow_m3s - apart_m3s, 0.0);
    const auto volume_m3 = [&](double need_m) {
        return need_volume_m3(settings, value_of(settings, need_m));
    };
    const double now_m3 = need_volume_m3(settings, value_m);
    // A well may rise to its weir. A tank may fall to its low alarm.
    const bool has_weir = settings.action == Action::direct && settings.weir.coefficient_m15_s > 0;
    const double most_m3 =
        has_weir ? need_volume_m3(settings, settings.weir.crest_m) : volume_m3(marks.high_m);
    return std::min({time_to_fill_s(most_m3 - now_m3, rise_m3s),
                     time_to_fill_s(now_m3 - volume_m3(marks.cutoff_m), fall_m3s), longest_s});
}

}  // namespace

void renew_hold(Hold& hold, Service service, const Sight& sight, const Balance& balance,
                const NeedMarks& marks, const Settings& settings) noexcept {
    if (service != Service::hold || settings.measured != Measured::level) {
        hold = {};
        return;
    }
    if (hold.since_ms != never_ms) return;
    constexpr double ms_per_s = 1000;
    hold.since_ms = sight.picture.time_ms;
    hold.inflow_m3s = balance.inflow_m3s;
    hold.outflow_m3s = balance.outflow_m3s;
    // Without any estimate no pump was started, and pumps that were found running keep running for the hour.
    const bool known = balance.inflow_ms != never_ms;
    constexpr double careful = 0.9;  // the store's table and the curves may be wrong
    const double time_s =
        known ? careful * allowed_s(hold, balance.doubt_m3s, sight.measured().value_m, marks, settings)
              : longest_s;
    hold.allowed_ms = static_cast<std::int64_t>(ms_per_s * time_s);
}

}  // namespace freshet::core
