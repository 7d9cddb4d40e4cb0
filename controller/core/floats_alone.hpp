// More or fewer pumps by the last known inflow, while no transmitter is believed.
// One reason to change: what the last known inflow decides.
#pragma once

#include <algorithm>

#include "controller/core/rotation.hpp"
#include "controller/core/staging.hpp"
#include "controller/core/staging_situation.hpp"

namespace freshet::core {

/// True when the last known inflow is surely more than the running pumps carry at full speed. Without a running
/// pump the inflow must also be more than a pump's minimum flow, so that the pump can keep running.
inline bool last_inflow_is_more(const Situation& at) noexcept {
    const KeptInflow& kept = at.inputs.kept;
    constexpr double sure_deviations = 1.5, oldest_s = 3600;
    if (at.inputs.service != Service::floats || !kept.known || kept.age_s > oldest_s) return false;
    const double least_m3s = kept.inflow_m3s - sure_deviations * kept.doubt_m3s;
    const bool on_drive = at.state.drive_pump != no_pump;
    const double running_m3s =
        at.flow_m3s(at.picture.on_line, on_drive ? at.inputs.highest_hz : 0, at.inputs.need_m);
    const bool any_runs = on_drive || at.picture.on_line > 0;
    return least_m3s > (any_runs ? running_m3s : at.settings.minimum_flow_m3s);
}

/// True when the last known inflow is so fresh that it starts a pump without a float that calls.
inline bool last_inflow_needs_more(const Situation& at) noexcept {
    return at.inputs.kept.fresh && !at.inputs.permit.low_float && last_inflow_is_more(at);
}

/// The values of Reason::last_inflow.
inline std::array<double, 4> last_inflow_values(const Situation& at) noexcept {
    const double drive_hz = at.state.drive_pump == no_pump ? 0 : at.inputs.highest_hz;
    return {at.inputs.kept.inflow_m3s, at.flow_m3s(at.picture.on_line, drive_hz, at.inputs.need_m),
            at.inputs.kept.age_s, 0};
}

/// Stops a pump when the last known inflow is surely less than fewer pumps carry, so that the pumps do not draw
/// down to the float that stops them. The last pump keeps running.
inline Decision fewer_by_last_inflow(const Situation& at) noexcept {
    const KeptInflow& kept = at.inputs.kept;
    const auto on_line = static_cast<std::size_t>(std::max(at.line_pumps(), 0));
    const bool on_drive = at.state.drive_pump != no_pump;
    const std::size_t fewer = on_line - (on_drive || on_line == 0 ? 0 : 1);
    if (!kept.known || !kept.calm || fewer == 0) return {};
    constexpr double sure_deviations = 1.5;
    const auto may_go = [&at](std::uint8_t pump) {
        std::int64_t wait_ms = 0;
        return pump != no_pump && why_not_stop(at.state, at.calm_permit(), at.settings, pump,
                                               at.picture.time_ms, wait_ms) == Permissive::none;
    };
    // A line pump goes while the drive pump must keep running.
    const bool drive_goes = on_drive && may_go(at.state.drive_pump);
    const std::size_t left = on_drive && !drive_goes ? fewer - 1 : fewer;
    const double drive_hz = on_drive ? at.inputs.lowest_hz : 0;
    const double least_m3s = at.flow_m3s(left, drive_hz, at.inputs.need_m);
    if (least_m3s <= kept.inflow_m3s + sure_deviations * kept.doubt_m3s) return {};
    const std::uint8_t pump = drive_goes
                                  ? at.state.drive_pump
                                  : next_to_stop(at.may_stop(), at.state, at.settings, at.picture.time_ms);
    if (!may_go(pump)) return {};
    return {drive_goes ? Intention::stop_on_drive : Intention::stop_from_line,
            pump,
            Reason::last_inflow,
            last_inflow_values(at),
            true,
            0};
}

}  // namespace freshet::core
