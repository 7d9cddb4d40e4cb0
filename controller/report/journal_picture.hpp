// The station as a journal shows it up to one of its events.
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
    bool told = false;
};

struct StandingAlarm {
    std::uint8_t pump, code;
    std::int64_t since_ms;
};

struct JournalPicture {
    std::array<PumpPicture, core::pumps_max> pumps{};
    core::Sequence sequence = core::Sequence::none;
    core::Step step = core::Step::idle;
    std::uint8_t sequence_pump = core::no_pump;
    std::int64_t step_since_ms = 0;
    /// Pumps being stopped from the line, beside whatever else goes on, and since when; 0: not.
    std::array<std::int64_t, core::pumps_max> line_stop_since_ms{};
    std::optional<core::Service> service;
    std::optional<core::Quality> quality;
    core::Cause quality_cause = core::Cause::none;
    std::vector<StandingAlarm> alarms;
};

/// The picture up to and with event `index`.
JournalPicture picture_of(const std::vector<record::JournalEntry>& journal, std::size_t index);

std::string_view alarm_text(const StandingAlarm& alarm);

}  // namespace freshet::report
