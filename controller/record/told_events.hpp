// The events that a report tells: alarms, protective stops, services, and sequences: why they began
// and how they ended.
// One reason to change: which events a reader of a report wants.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "controller/core/advice.hpp"

namespace freshet::record {

struct ToldEvent {
    std::int64_t time_ms = 0;
    core::Event event;
};

struct ToldEvents {
    std::vector<ToldEvent> events;  ///< the first `told_max` of them
    std::size_t count = 0;          ///< all of them

    static constexpr std::size_t told_max = 1000;  ///< a report for people, not the journal

    void add(const core::Advice& advice);
};

/// Alarms and what acts on its own: these are marked on the plots.
constexpr bool is_abnormal(core::EventKind what) {
    return what == core::EventKind::alarm_raised || what == core::EventKind::protective_stop ||
           what == core::EventKind::sequence_withdrawn;
}

}  // namespace freshet::record
