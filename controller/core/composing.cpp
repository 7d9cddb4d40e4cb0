// Composing advice; see the header.
#include "controller/core/composing.hpp"

#include "controller/core/numbers.hpp"

namespace freshet::core {

void compose_contactors(const SequencerState& state, const Settings& settings, Advice& advice) noexcept {
    advice.pumps_on_line = 0;
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump) {
        const PumpRecord& record = state.pumps[pump];
        PumpAdvice& one = advice.pumps[pump];
        one.state = record.state;
        one.drive_side_close = false;
        one.line_side_close = record.state == PumpState::on_line;
        if (one.line_side_close) ++advice.pumps_on_line;
        const Step step = state.line_run[pump].step;
        if (step == Step::idle) continue;
        const StepAdvice& advised = row_of(step, *state.table).advice;
        one.drive_side_close = advised.drive_side_close;
        one.line_side_close = advised.line_side_close;
    }

    advice.drive_run = false;
    advice.synchronise = false;
    advice.output_close = false;
    const Run& run = state.main;
    if (run.step != Step::idle) {
        const StepAdvice& advised = row_of(run.step, *state.table).advice;
        advice.drive_run = advised.drive_run;
        advice.synchronise = advised.synchronise;
        advice.output_close = advised.output_close;
        advice.pumps[run.pump].drive_side_close = advised.drive_side_close;
        advice.pumps[run.pump].line_side_close = advised.line_side_close;
    } else if (state.drive_pump != no_pump) {
        advice.drive_run = true;
        advice.output_close = true;
        advice.pumps[state.drive_pump].drive_side_close = true;
    }
    const Run& shown = shown_run(state);
    advice.sequence = shown.sequence;
    advice.step = shown.step;
    advice.sequence_pump = shown.pump;
    advice.drive_pump = run.step == Step::idle ? state.drive_pump : run.pump;
}

double composed_speed_hz(SpeedReference& reference, const SequencerState& state,
                         const SequencerInputs& inputs, double demand_hz) noexcept {
    if (state.main.step == Step::idle) return state.drive_pump == no_pump ? 0 : reference.of_hz(demand_hz);
    switch (row_of(state.main.step, *state.table).advice.speed) {
        case SpeedAdvice::minimum_flow:
            return reference.of_hz(inputs.minimum_flow_hz);
        case SpeedAdvice::line_frequency:
            return reference.of_hz(inputs.picture.line_hz);
        case SpeedAdvice::zero:
            break;
    }
    return 0;
}

double SpeedReference::of_hz(double speed_hz) noexcept {
    constexpr double per_hz = 100, half = 0.5;
    const double wanted = bounded(speed_hz, 0, speed_reference_max_hz) * per_hz;
    if (!(wanted >= hundredths_ - half && wanted < hundredths_ + half)) {
        const auto whole = static_cast<std::int64_t>(wanted);
        const bool up = wanted - static_cast<double>(whole) >= half;
        hundredths_ = static_cast<double>(whole + (up ? 1 : 0));
        reference_hz_ = hundredths_ / per_hz;
    }
    return reference_hz_;
}

double speed_reference_hz(double speed_hz) noexcept {
    return SpeedReference{}.of_hz(speed_hz);
}

}  // namespace freshet::core
