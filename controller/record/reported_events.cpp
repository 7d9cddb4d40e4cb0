// Selects the events of a scan that a report shows.
#include "controller/record/reported_events.hpp"

#include <algorithm>

namespace freshet::record {
namespace {

bool is_reported(core::EventKind what) {
    switch (what) {
        // The begin of a sequence carries the ground of the decision. The end only confirms the sequence.
        case core::EventKind::sequence_begun:
        case core::EventKind::sequence_done:
        case core::EventKind::sequence_withdrawn:
        case core::EventKind::service:
        case core::EventKind::alarm_raised:
        case core::EventKind::alarm_returned:
        case core::EventKind::protective_stop:
        case core::EventKind::emergency_stop_reset:
        case core::EventKind::reset_refused:
        case core::EventKind::water_mode:
            return true;
        default:
            return false;
    }
}

}  // namespace

void ReportedEvents::add(const core::Advice& advice) {
    const std::size_t in_scan = std::min<std::size_t>(advice.event_count, advice.events.size());
    for (std::size_t i = 0; i < in_scan; ++i) {
        if (!is_reported(advice.events[i].what)) continue;
        if (events.size() < reported_max) events.push_back({advice.time_ms, advice.events[i]});
        ++count;
    }
}

}  // namespace freshet::record
