// Deciding how many pumps; see the header.
#include "controller/core/staging.hpp"

#include "controller/core/shedding.hpp"
#include "controller/core/staging_rules.hpp"

namespace freshet::core {

namespace {

Decision decision_at(StagingState& staging, const Situation& at) noexcept {
    if (const Decision less = shed_for_supply(at); less.now) return less;
    if (const Decision less = shed_without_delivery(staging, at); less.now) return less;
    if (at.state.drive_pump != no_pump) return with_drive_pump(staging, at);
    const Service service = at.inputs.service;
    if (service == Service::fixed_speed || (service == Service::floats && !at.drive_usable()))
        return without_drive(staging, at);
    return with_free_drive(staging, at);
}

}  // namespace

Decision decide(StagingState& staging, const SequencerState& state, const Picture& picture,
                const StagingInputs& inputs, const FlowTable& flows, const Settings& settings) noexcept {
    const StagingTimers before = staging.since;
    staging.since = {};
    const Decision decision = decision_at(staging, {state, picture, inputs, flows, settings, before});
    if (decision.now) staging.since = {};
    return decision;
}

}  // namespace freshet::core
