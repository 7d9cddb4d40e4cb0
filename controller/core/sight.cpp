// Seeing; see the header.
#include "controller/core/sight.hpp"

#include "controller/core/store.hpp"

namespace freshet::core {

Sight sight_of(const Settings& settings) noexcept {
    Sight sight;
    if (settings.measured == Measured::header_pressure)
        sight.signals.transmitter.back().cause = Cause::not_fitted;
    sight.pressure = pressure_limit_of(settings);
    return sight;
}

bool see(Sight& sight, const Inputs& inputs, const Settings& settings, const NeedMarks& marks,
         const ScanTime& time, const Attention& attention) noexcept {
    bool changed = attention.event_before;
    if (sight.two_state.read(inputs, settings))
        changed |= renew_two_state(sight.picture, sight.two_state.words(), settings);
    changed |= renew_fast(sight.picture, inputs, settings);
    if (time.second_passed || changed || attention.closely)
        changed |= renew_motors(sight.picture, inputs, settings);

    changed |= judge_measured_value(sight.signals, inputs, settings);
    sight.need_m = need_of(settings, sight.measured().value_m);
    // The vote changes with a float, which counts at once, or with the water, which moves slowly.
    if (changed || time.second_passed || floats_move(sight.floats, sight.picture)) {
        const LevelSays level = level_says(sight.measured(), sight.need_m, marks);
        renew_floats(sight.floats, sight.picture, level, sight.witness.credit(), settings);
    }
    judge_pressure(sight.pressure, sight.signals, inputs, settings);
    const Analog& flow = inputs.station_flow_m3s;
    sight.station_flow_m3s = flow.value;
    sight.station_flow_known =
        flow.quality == Quality::good && flow.age_ms <= settings.signal.stale_ms && flow.value >= 0;
    if (changed || time.second_passed) sight.area_m2 = store_area_m2(settings, sight.measured().value_m);
    return changed;
}

}  // namespace freshet::core
