// The staging while the drive is free: start the next pump on the drive, or take a pump back from the line.
// One reason to change: when the free drive takes a pump.
#include "controller/core/next_on_drive.hpp"
#include "controller/core/rotation.hpp"
#include "controller/core/shedding.hpp"
#include "controller/core/staging_rules.hpp"

namespace freshet::core {

namespace {

/// The staging drops a wanted start when no pump could start for this time, because the water has changed
/// meanwhile.
constexpr std::int64_t wanted_max_ms = 300'000;

}  // namespace

Decision with_free_drive(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    if (staging.drive_free_since_ms == never_ms) staging.drive_free_since_ms = at.picture.time_ms;
    if (at.picture.time_ms - staging.drive_free_since_ms > wanted_max_ms) staging.start_wanted = false;
    if (in.service == Service::hold) return {};
    if (in.permit.pressure_high) {
        const Decision less = shed_for_pressure(staging, at);
        if (less.now) staging.take_back_wanted = true;  // the speed may fall on the drive
        if (less.intention != Intention::none) return less;
    }
    if (in.service == Service::floats) {
        const bool due = staging.last_float_step_ms == never_ms ||
                         at.picture.time_ms - staging.last_float_step_ms >= at.settings.floats.run_on_ms ||
                         staging.start_wanted;
        if (!in.float_calls || !due) return {};
        const Decision start = start_on_drive(at, float_reason(at), {});
        if (start.now) {
            staging.last_float_step_ms = at.picture.time_ms;
            staging.start_wanted = false;
        }
        return start;
    }
    if (in.need_m <= at.inputs.marks.stage_down_m) staging.start_wanted = false;
    if (staging.start_wanted) {
        const Decision start = start_on_drive(at, staging.wanted_why, staging.wanted_values);
        if (start.now) {
            staging.start_wanted = false;
            return start;
        }
    }
    if (at.picture.on_line == 0) {
        staging.take_back_wanted = false;
        if (in.need_m < at.inputs.marks.start_m) return {};
        return start_on_drive(at, Reason::value_past_start, {in.value_m, at.settings.marks.start_m, 0, 0});
    }
    // At the limit of the discharge pressure no pump starts, however high the need is.
    if (in.need_m >= at.inputs.marks.stage_up_m && !in.permit.pressure_high) {
        staging.take_back_wanted = false;
        const Decision start =
            start_on_drive(at, Reason::value_past_start, {in.value_m, at.settings.marks.stage_up_m, 0, 0});
        if (start.now) return start;
    }
    if (staging.take_back_wanted || in.need_m <= at.inputs.marks.stage_down_m) {
        const Decision early = stop_before_empty(staging, at);
        if (early.intention != Intention::none) return early;
        const std::uint8_t pump =
            next_to_stop(releasable(at.state, at.settings, at.picture.time_ms), at.state, at.settings);
        if (pump == no_pump || !at.drive_free()) return {};
        Decision back{Intention::take_back,
                      pump,
                      Reason::band_ridden,
                      {in.value_m, at.settings.marks.stage_down_m, 0, 0},
                      true,
                      0};
        at.postpone_transfer(back);
        if (back.now) staging.take_back_wanted = false;
        return back;
    }
    return {};
}

}  // namespace freshet::core
