// Notes the events of a scan into the advice, numbered without a gap.
// One reason to change: how an event is numbered and kept within a scan.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"

namespace freshet::core {

/// The pen of one scan. Lives on the stack of `scan`; the number goes on from scan to scan.
class Journal {
  public:
    Journal(Advice& advice, std::uint32_t& last_number) noexcept
        : advice_(advice), last_number_(last_number) {
        advice_.event_count = 0;
    }

    /// Notes one event and returns its number, to be given as the cause of those that follow from it.
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
