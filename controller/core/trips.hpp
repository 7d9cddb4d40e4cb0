// How often a pump or the drive trips and resets by itself, and when that locks out.
// One reason to change: what counts as a trip, or how many trips are too many.
//
// A protection that resets by itself would otherwise be started against again and again. After a few trips
// within an hour a person must look for the cause (common practice).
#pragma once

#include "controller/core/picture.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Counts the trips of pumps and drive in every scan. A trip counts when its signal was read as not tripped
/// for five seconds before, so that a chattering contact gives one trip. At
/// Settings::permissives.trips_per_hour_max trips within an hour the pump or the drive is locked out.
void count_trips(SequencerState& state, const Picture& picture, const Settings& settings,
                 Journal& journal) noexcept;

/// True when a pump has tripped as often within the hour as the settings allow.
bool trips_are_spent(const PumpRecord& record, const Settings& settings, std::int64_t now_ms) noexcept;

/// True when people release the drive at the drive. After too many trips, the drive is read as not ready
/// once it was ready again, because a trip itself makes a drive not ready. After other failures, the drive
/// is read as not ready.
bool people_release_drive(const SequencerState& state, const Picture& picture) noexcept;

}  // namespace freshet::core
