// The staging without the drive: pumps start and stop on the line, where the station allows line starts.
// One reason to change: when a pump is started on the line or stopped from the line.
#include "controller/core/floats_alone.hpp"
#include "controller/core/need.hpp"
#include "controller/core/rotation.hpp"
#include "controller/core/shedding.hpp"
#include "controller/core/staging_rules.hpp"

namespace freshet::core {

Decision without_drive(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    staging.start_wanted = staging.take_back_wanted = false;
    if (in.permit.pressure_high) {
        const Decision less = shed_for_pressure(staging, at);
        if (less.intention != Intention::none) return less;
    }
    const int line_pumps = at.line_pumps();
    const double start_m = at.fixed_speed_m(static_cast<std::size_t>(line_pumps)).start_m;
    const bool past_start = in.need_m >= need_of(at.settings, start_m);
    // A float that calls counts whatever the transmitters say. Where the value shows the same water, the value
    // decides sooner.
    const bool by_float =
        in.service == Service::floats || (in.float_calls && (in.float_against_level || !past_start));
    const bool by_inflow = !in.float_calls && last_inflow_needs_more(at);
    const bool want_more = by_float ? in.float_calls || by_inflow : past_start && !at.falls();
    const std::int64_t more_ms = at.held_ms(staging.since, &StagingTimers::top_ms, want_more);
    const std::int64_t up_delay_ms =
        line_pumps == 0 || by_inflow || in.float_urges || (in.float_calls && last_inflow_is_more(at))
            ? 0
            : (by_float ? at.settings.floats.run_on_ms : at.settings.staging.up_delay_ms);
    if (more_ms >= 0) {
        const Choice next = next_to_start(at.may_start(true), at.state, at.settings, at.picture.time_ms);
        if (next.pump == no_pump) return more_ms >= up_delay_ms ? at.refused(true) : Decision{};
        Decision start{Intention::line_start,
                       next.pump,
                       by_float ? float_reason(at) : Reason::value_past_start,
                       {in.value_m, start_m, 0, 0},
                       more_ms >= up_delay_ms,
                       up_delay_ms - more_ms};
        if (by_inflow)
            start = {Intention::line_start, next.pump, Reason::last_inflow, last_inflow_values(at), true, 0};
        start.chosen = next;
        return start;
    }
    if (in.float_calls) return {};
    if (by_float) return fewer_by_last_inflow(at);
    const PumpMask advised_on_line = pumps_in(at.state, PumpState::on_line, at.settings);
    const std::size_t last = line_pumps > 0 ? static_cast<std::size_t>(line_pumps - 1) : 0;
    const double stop_m = at.fixed_speed_m(last).stop_m;
    const bool past_stop = in.need_m <= need_of(at.settings, stop_m);
    const std::int64_t less_ms = at.held_ms(staging.since, &StagingTimers::bottom_ms,
                                            past_stop && advised_on_line != 0 && !at.surely_rises());
    if (less_ms < 0) return {};
    const std::int64_t down_delay_ms = line_pumps <= 1 ? 0 : at.settings.staging.down_delay_ms;
    const std::uint8_t pump = next_to_stop(at.may_stop(), at.state, at.settings, at.picture.time_ms);
    if (pump == no_pump) return {};
    return {Intention::stop_from_line, pump,
            Reason::value_past_stop,   {in.value_m, stop_m, 0, 0},
            less_ms >= down_delay_ms,  down_delay_ms - less_ms};
}

}  // namespace freshet::core
