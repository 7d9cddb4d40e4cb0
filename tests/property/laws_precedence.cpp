// Laws 12 and 13: which limit may give way and when, and no less pumping while the water rises.
// One reason to change: a law about what comes first.
#include "tests/property/laws_case.hpp"

#include <algorithm>

namespace freshet::laws {

using core::Event;
using core::EventKind;
using core::Permissive;
using core::Reason;

namespace {

/// The limits that spare the machines. No other ground ever gives way.
bool spares_the_machines(Permissive ground) {
    return ground == Permissive::resting || ground == Permissive::starts_limit ||
           ground == Permissive::transfers_limit || ground == Permissive::minimum_run ||
           ground == Permissive::seal_leak;
}

/// Staging takes pumping away for one of these reasons.
bool is_less_pumping(Reason why) {
    return why == Reason::demand_at_bottom || why == Reason::band_ridden || why == Reason::forecast_empty;
}

/// Keeps the mean need of each half minute.
void keep_means(const Case& at) {
    constexpr std::int64_t half_minute_ms = 30'000;
    NeedHistory& past = at.history.need;
    if (at.advice.measured_quality != Quality::good) {
        past = {};
        return;
    }
    if (past.since_ms == never_ms) past.since_ms = at.time_ms;
    past.sum_m += at.need_m(at.advice.measured_m);
    ++past.samples;
    if (at.time_ms - past.since_ms < half_minute_ms) return;
    past.before_last_m = past.last_m;
    past.last_m = past.sum_m / static_cast<double>(past.samples);
    past.means = std::min(past.means + 1, 2);
    past.sum_m = 0;
    past.samples = 0;
    past.since_ms = at.time_ms;
}

}  // namespace

void law_12(const Case& at) {
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        if (event.what != EventKind::limit_yielded) continue;
        const auto ground = static_cast<Permissive>(event.detail);
        if (!spares_the_machines(ground))
            at.breaks(12, "ground %d gave way, although it does not only spare the machines", event.detail);
        const bool value_needs =
            at.advice.measured_quality != Quality::bad && at.need_m(at.advice.measured_m) > 0;
        if (!value_needs && !at.float_calls())
            at.breaks(12,
                      "ground %d gave way at %.3f m, although neither a float nor the value calls for pumps",
                      event.detail, at.advice.measured_m);
        if (event.pump != no_pump) at.history.pumps[event.pump].yielded[event.detail] = at.time_ms;
    }
}

void law_13(const Case& at) {
    const NeedHistory& past = at.history.need;
    // A deadband in half a minute is more than noise, and more than the controller may overlook.
    const double rise_m = past.last_m - past.before_last_m;
    const double overlooked_m = 2 * at.settings.marks.deadband_m;
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        if (event.what != EventKind::sequence_begun || !is_less_pumping(event.why)) continue;
        const double need_m = at.need_m(at.advice.measured_m);
        if (past.means == 2 && rise_m > overlooked_m && need_m > past.last_m &&
            need_m > at.need_m(at.settings.marks.stop_m))
            at.breaks(13,
                      "pump %d stopped or taken back at %.3f m, while the need rose %.3f m in half a minute",
                      event.pump + 1, at.advice.measured_m, rise_m);
    }
    keep_means(at);
}

}  // namespace freshet::laws
