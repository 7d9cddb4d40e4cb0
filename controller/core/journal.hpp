// Notes the events of a scan into the advice, numbered without a gap.
// One reason to change: how an event is numbered and kept within a scan.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"

namespace freshet::core {

/// Notes the events of one scan. Each scan makes its own Journal, and the numbers of the events continue from
/// scan to scan.
class Journal {
  public:
    /// Starts a scan without events. `last_number` is the number of the last event before this scan.
    Journal(Advice& advice, std::uint32_t& last_number) noexcept
        : advice_(advice), last_number_(last_number) {
        advice_.event_count = 0;
    }

    /// Notes one event and returns its number. Events that follow from this event take the number as their
    /// `cause`. When the advice has no room, the event is lost and `events_lost` is set.
    std::uint32_t note(EventKind what, std::uint8_t detail, std::uint8_t pump, Reason why,
                       std::array<double, 4> values = {}, std::uint32_t cause = 0) noexcept {
        ++last_number_;
        if (advice_.event_count < events_max) {
            advice_.events[advice_.event_count++] =
                Event{last_number_, cause, values, what, detail, pump, why};
        } else {
            advice_.events_lost = true;
        }
        return last_number_;
    }

  private:
    Advice& advice_;
    std::uint32_t& last_number_;
};

}  // namespace freshet::core
