// Deciding how many pumps; see the header.
#include "controller/core/staging.hpp"

#include "controller/core/shedding.hpp"
#include "controller/core/staging_rules.hpp"
#include "controller/core/step_limits.hpp"

namespace freshet::core {

namespace {

Decision decision_at(StagingState& staging, const Situation& at) noexcept {
    if (const Decision less = shed_for_supply(at); less.now) return less;
    if (at.state.drive_pump != no_pump) return with_drive_pump(staging, at);
    const Service service = at.inputs.service;
    if (service == Service::fixed_speed || (service == Service::floats && !at.drive_usable()))
        return without_drive(staging, at);
    return with_free_drive(staging, at);
}

/// The time of synchronising and of the contactor moves of a transfer, ms. One contactor closes on the second
/// source. The output and the other side open. Then one side and the output close for the next motor.
std::int64_t transfer_ms(const Settings& settings) noexcept {
    constexpr std::int64_t contactor_moves = 5;
    return settings.step.synchronise_expected_ms +
           contactor_moves * (std::int64_t{settings.sync.line_side_closing_ms} + settings.scan_ms);
}

}  // namespace

std::int64_t bring_up_ms(const Settings& settings, double drive_hz, double next_minimum_hz) noexcept {
    const Settings::Drive& drive = settings.drive;
    const double rise_hz = drive.line_frequency_hz > drive_hz ? drive.line_frequency_hz - drive_hz : 0;
    return ramp_ms(rise_hz + next_minimum_hz, drive.ramp_up_hz_s) + transfer_ms(settings);
}

std::int64_t take_back_ms(const Settings& settings, double drive_hz) noexcept {
    const Settings::Drive& drive = settings.drive;
    return ramp_ms(drive_hz, drive.ramp_down_hz_s) + ramp_ms(drive.line_frequency_hz, drive.ramp_up_hz_s) +
           transfer_ms(settings);
}

Decision decide(StagingState& staging, const SequencerState& state, const Picture& picture,
                const StagingInputs& inputs, const FlowTable& flows, const Settings& settings) noexcept {
    const StagingTimers before = staging.since;
    staging.since = {};
    const Decision decision = decision_at(staging, {state, picture, inputs, flows, settings, before});
    if (decision.now) staging.since = {};
    return decision;
}

}  // namespace freshet::core
