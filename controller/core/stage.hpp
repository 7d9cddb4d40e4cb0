// Carries out a decision of the staging: a sequence begins, or the advice announces the next action.
// One reason to change: how a decision is carried out.
#pragma once

#include "controller/core/balance.hpp"
#include "controller/core/delivery.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/following.hpp"
#include "controller/core/journal.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"
#include "controller/core/staging.hpp"
#include "controller/core/station_permit.hpp"
#include "controller/core/water_duty.hpp"

namespace freshet::core {

/// Everything that a decision depends on, in addition to the state of the sequencer and of the staging.
struct StageView {
    const Sight& sight;
    const StationPermit& permit;
    const Balance& balance;
    const FlowTable& flows;
    const DeliveryWatch& delivery;
    const Settings& settings;
    Service service;
    double lowest_hz;  ///< minimum-flow speed of the present combination
    const WaterDuty& duty;
};

/// Makes a decision and begins its sequence. Decides nothing while a line start is under way, while a protective stop
/// applies, or before the station is settled. While a main sequence is under way, the only decision is the stop of a
/// line pump before the store is empty.
void stage(StagingState& staging, SequencerState& sequencer, Following& following, const StageView& view,
           Advice& advice, Journal& journal) noexcept;

}  // namespace freshet::core
