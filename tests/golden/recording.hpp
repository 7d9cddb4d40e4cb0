// The digests of a run of the bench for comparison: its advice, its events and its words.
// One reason to change: the compared runs, or the number of digests.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "tests/property/campaign/coupled.hpp"

namespace freshet::golden {

/// A run is compared in sixty parts, so that the minute of a difference is known in a run of an hour.
inline constexpr std::size_t parts = 60;

struct Recording {
    std::string name;
    std::int64_t scans = 0;
    std::array<std::uint32_t, parts> advice{};  ///< of the scans of each part
    std::vector<std::uint16_t> events;          ///< of each event: codes and values
    std::vector<std::uint16_t> words;           ///< of each event: its line in the journal and its sentence
};

/// A function that is called for every event of a run.
using Listener = std::function<void(const core::Advice& advice, const core::Event& event)>;

/// A shipped scenario.
struct Case {
    std::string name;
    const campaign::Base* base = nullptr;
    config::Scenario scenario;
};
/// Every scenario of config/scenarios, by name.
const std::vector<Case>& shipped_cases();

/// An hour with faults: three random storms of the campaign, one after another, from a seed.
Case storm_case(std::uint64_t seed);

/// Runs a case through the registers, as `freshet run` does.
Recording record(const Case& which, const Listener& listener = {});

}  // namespace freshet::golden
