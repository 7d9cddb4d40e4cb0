// The state of the station according to a journal, up to an event.
// One reason to change: something that an event of the journal says about the station.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "controller/core/advice.hpp"
#include "controller/record/journal_reader.hpp"

namespace freshet::report {

struct PumpPicture {
    core::PumpState state = core::PumpState::off;
    std::int64_t since_ms = 0;
    bool known = false;
};

/// A line start or a stop from line under way. The step is idle when there is none.
struct LineRun {
    core::Step step = core::Step::idle;
    std::int64_t since_ms = 0;
};

struct ActiveAlarm {
    std::uint8_t pump, code;
    std::int64_t since_ms;
};

struct JournalPicture {
    std::array<PumpPicture, core::pumps_max> pumps{};
    core::Sequence sequence = core::Sequence::none;
    core::Step step = core::Step::idle;
    std::uint8_t sequence_pump = core::no_pump;
    std::int64_t step_since_ms = 0;
    /// The line start or the stop from the line of each pump, next to the main sequence.
    std::array<LineRun, core::pumps_max> line_runs{};
    std::optional<core::Service> service;
    std::optional<core::Quality> quality;
    core::Cause quality_cause = core::Cause::none;
    std::vector<ActiveAlarm> alarms;
};

/// Returns the picture after event `index`.
JournalPicture picture_of(const std::vector<record::JournalEntry>& journal, std::size_t index);

std::string_view alarm_text(const ActiveAlarm& alarm);

}  // namespace freshet::report
