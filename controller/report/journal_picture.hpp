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
    /// The begin of the stop from the line of each pump. 0 means no such stop. Other sequences do not prevent
    /// a stop from the line.
    std::array<std::int64_t, core::pumps_max> line_stop_since_ms{};
    std::optional<core::Service> service;
    std::optional<core::Quality> quality;
    core::Cause quality_cause = core::Cause::none;
    std::vector<ActiveAlarm> alarms;
};

/// Returns the picture after event `index`.
JournalPicture picture_of(const std::vector<record::JournalEntry>& journal, std::size_t index);

std::string_view alarm_text(const ActiveAlarm& alarm);

}  // namespace freshet::report
