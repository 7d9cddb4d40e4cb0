// Picks out of a scan's events those that a report tells.
#include "controller/record/told_events.hpp"

#include <algorithm>

namespace freshet::record {
namespace {

bool is_told(core::EventKind what) {
    switch (what) {
        // A sequence's beginning carries the ground of the decision; its end says only that it was confirmed.
        case core::EventKind::sequence_begun:
        case core::EventKind::sequence_done:
        case core::EventKind::sequence_withdrawn:
        case core::EventKind::service:
        case core::EventKind::alarm_raised:
        case core::EventKind::alarm_returned:
        case core::EventKind::protective_stop:
            return true;
        default:
            return false;
    }
}

}  // namespace

void ToldEvents::add(const core::Advice& advice) {
    const std::size_t said = std::min<std::size_t>(advice.event_count, advice.events.size());
    for (std::size_t i = 0; i < said; ++i) {
        if (!is_told(advice.events[i].what)) continue;
        if (events.size() < told_max) events.push_back({advice.time_ms, advice.events[i]});
        ++count;
    }
}

}  // namespace freshet::record
