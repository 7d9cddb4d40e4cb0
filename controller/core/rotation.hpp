// Rotation: which pump starts or stops next.
// One reason to change: how wear is shared among the pumps.
#pragma once

#include <array>
#include <cstdint>

#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// A pump chosen to start, and why this pump.
struct Choice {
    std::uint8_t pump = no_pump;
    Reason why = Reason::none;       ///< what put the pump before the next in the order
    std::array<double, 4> values{};  ///< of the pump and of the next, as Reason lists them
};

/// The pump of `among` to start next; no_pump when `among` is empty. A pump that has been idle for too long
/// comes first. Then preferred pumps come first, and pumps declared `last` come last. Within a rank
/// Settings::rotation decides:
///
///   hours        the pump with the fewest run hours
///   starts       the pump with the fewest starts
///   fixed        the pump with the lowest number
///   alternation  the pump whose number follows the pump that started last; the lowest follows the highest
///   order        the pump with the first place in the operator's order, which knows no ranks
///
/// Pumps that are equal in all this start in the order of their numbers. By hours and by starts, a pump that
/// started twice or more in the last hour comes after the pumps with fewer starts in that hour, because a
/// motor that starts often gets hot. A pump with few hours then does not take every start until its starts
/// per hour are used up. One start counts as none, because a run of hours may follow it.
Choice next_to_start(PumpMask among, const SequencerState& state, const Settings& settings,
                     std::int64_t now_ms) noexcept;

/// Pumps of `among` that have been idle for Settings::exercise_ms or longer; none when that setting is zero.
PumpMask exercise_due(PumpMask among, const SequencerState& state, const Settings& settings,
                      std::int64_t now_ms) noexcept;

/// Running pumps of `among` that started Settings::run_longest_ms ago or earlier; none when that setting is
/// zero. A pump whose start nobody knows counts as due.
PumpMask relief_due(PumpMask among, const SequencerState& state, const Settings& settings,
                    std::int64_t now_ms) noexcept;

/// The pump of `among` to stop or take back next; no_pump when `among` is empty. A pump that is due for
/// relief stops first. Then pumps declared `last` stop first, and preferred pumps stop last. Within a rank
/// the pump with the most hours, the highest number or the last place stops. By starts and in alternation the
/// first pump in the order of starting stops, because its turn to start comes again soonest.
std::uint8_t next_to_stop(PumpMask among, const SequencerState& state, const Settings& settings,
                          std::int64_t now_ms) noexcept;

}  // namespace freshet::core
