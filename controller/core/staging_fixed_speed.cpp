// The staging without the drive: pumps start and stop on the line, where the station allows line starts.
// One reason to change: when a pump is started on the line or stopped from the line.
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
    // A float that calls counts whatever the transmitters say.
    const bool by_float = in.service == Service::floats || in.float_calls;
    const double start_mark_m = line_pumps == 0 ? at.inputs.marks.start_m : at.inputs.marks.stage_up_m;
    const bool want_more = by_float ? in.float_calls : in.need_m >= start_mark_m && !at.falls();
    const std::int64_t more_ms = at.held_ms(staging.since, &StagingTimers::top_ms, want_more);
    const std::int64_t up_delay_ms =
        line_pumps == 0 ? 0 : (by_float ? at.settings.floats.run_on_ms : at.settings.staging.up_delay_ms);
    if (more_ms >= 0) {
        const std::uint8_t pump =
            next_to_start(at.may_start(true), at.state, at.settings, at.picture.time_ms);
        if (pump == no_pump) return more_ms >= up_delay_ms ? at.refused(true) : Decision{};
        return {Intention::line_start,
                pump,
                by_float ? float_reason(at) : Reason::value_past_start,
                {in.value_m, line_pumps == 0 ? at.start_m() : at.stage_up_m(), 0, 0},
                more_ms >= up_delay_ms,
                up_delay_ms - more_ms};
    }
    if (by_float) return {};
    const PumpMask advised_on_line = pumps_in(at.state, PumpState::on_line, at.settings);
    const double stop_mark_m = line_pumps <= 1 ? at.inputs.marks.stop_m : at.inputs.marks.stage_down_m;
    const std::int64_t less_ms =
        at.held_ms(staging.since, &StagingTimers::bottom_ms,
                   in.need_m <= stop_mark_m && advised_on_line != 0 && !at.surely_rises());
    if (less_ms < 0) return {};
    const std::int64_t down_delay_ms = line_pumps <= 1 ? 0 : at.settings.staging.down_delay_ms;
    const std::uint8_t pump = next_to_stop(at.may_stop(), at.state, at.settings);
    if (pump == no_pump) return {};
    return {Intention::stop_from_line, pump,
            Reason::value_past_stop,   {in.value_m, line_pumps <= 1 ? at.stop_m() : at.stage_down_m(), 0, 0},
            less_ms >= down_delay_ms,  down_delay_ms - less_ms};
}

}  // namespace freshet::core
