// From a decision of the staging to a sequence that begins, or to what the advice announces as next.
// One reason to change: how a decision is carried out.
#pragma once

#include "controller/core/balance.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/following.hpp"
#include "controller/core/journal.hpp"
#include "controller/core/need.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"
#include "controller/core/staging.hpp"
#include "controller/core/station_permit.hpp"

namespace freshet::core {

/// What a decision goes by, besides the sequencer and its own state.
struct StageView {
    const Sight& sight;
    const StationPermit& permit;
    const Balance& balance;
    const FlowTable& flows;
    const NeedMarks& marks;
    const Settings& settings;
    Service service;
    double lowest_hz;  ///< minimum-flow speed of the present combination
};

/// Decides, and begins what is decided. Nothing is decided while a sequence is under way, while a protective
/// stop holds, or before the supply is settled.
void stage(StagingState& staging, SequencerState& sequencer, Following& following, const StageView& view,
           Advice& advice, Journal& journal) noexcept;

}  // namespace freshet::core
