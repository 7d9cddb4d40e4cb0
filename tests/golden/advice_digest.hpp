// A number for all fields of an advice, so that two builds can be compared scan by scan.
// One reason to change: a new or a removed field of the advice.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"

namespace freshet::golden {

/// Mixes a word into a running digest. The order of words counts.
void mix(std::uint64_t& digest, std::uint64_t word) noexcept;

/// Mixes every field of one scan's advice except its events. Every NaN counts as the same value.
void mix_advice(std::uint64_t& digest, const core::Advice& advice) noexcept;

/// Digest of one event: its number, its cause, its codes, its values, and the time of its scan.
std::uint64_t digest_of_event(const core::Event& event, std::int64_t time_ms) noexcept;

}  // namespace freshet::golden
