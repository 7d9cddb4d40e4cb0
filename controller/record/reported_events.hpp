// The events that a report shows: alarms, protective stops, services, and the begin and end of sequences.
// One reason to change: the events that a reader of a report wants.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "controller/core/advice.hpp"

namespace freshet::record {

struct ReportedEvent {
    std::int64_t time_ms = 0;
    core::Event event;
};

struct ReportedEvents {
    std::vector<ReportedEvent> events;  ///< the first `reported_max` events
    std::size_t count = 0;              ///< the number of all events

    static constexpr std::size_t reported_max = 1000;  ///< the journal has all events

    void add(const core::Advice& advice);
};

/// Alarms, protective stops and withdrawn sequences. The plots mark these events.
constexpr bool is_abnormal(core::EventKind what) {
    return what == core::EventKind::alarm_raised || what == core::EventKind::protective_stop ||
           what == core::EventKind::sequence_withdrawn;
}

}  // namespace freshet::record
