// Choosing by wear; see the header.
#include "controller/core/rotation.hpp"

#include <array>

namespace freshet::core {

namespace {

/// The rank of each preference, in the order normal, preferred, last.
constexpr std::array<int, 3> ranks{1, 0, 2};
static_assert(static_cast<std::size_t>(Preference::last) + 1 == ranks.size());

int rank(Preference preference) noexcept {
    return ranks[static_cast<std::size_t>(preference)];
}

std::int64_t wear(std::uint8_t pump, const SequencerState& state, Rotation rotation) noexcept {
    if (rotation == Rotation::hours) return state.pumps[pump].run_ms;
    if (rotation == Rotation::starts) return state.pumps[pump].starts_total;
    return 0;  // in fixed order
}

/// True when `a` comes before `b` in the order of starting. Pumps of equal wear follow their numbers, so the
/// order is total.
bool comes_before(std::uint8_t a, std::uint8_t b, const SequencerState& state,
                  const Settings& settings) noexcept {
    const int rank_a = rank(settings.preference[a]);
    const int rank_b = rank(settings.preference[b]);
    if (rank_a != rank_b) return rank_a < rank_b;
    const std::int64_t wear_a = wear(a, state, settings.rotation);
    const std::int64_t wear_b = wear(b, state, settings.rotation);
    if (wear_a != wear_b) return wear_a < wear_b;
    return a < b;
}

}  // namespace

PumpMask exercise_due(PumpMask among, const SequencerState& state, const Settings& settings,
                      std::int64_t now_ms) noexcept {
    PumpMask due = 0;
    if (settings.exercise_ms <= 0) return due;
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump) {
        const std::int64_t released_ms = state.pumps[pump].released_ms;
        const bool idle_long = released_ms != never_ms && now_ms - released_ms >= settings.exercise_ms;
        if (has(among, pump) && idle_long) due = static_cast<PumpMask>(due | bit_of(pump));
    }
    return due;
}

std::uint8_t next_to_start(PumpMask among, const SequencerState& state, const Settings& settings,
                           std::int64_t now_ms) noexcept {
    const PumpMask due = exercise_due(among, state, settings, now_ms);
    std::uint8_t chosen = no_pump;
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump) {
        if (!has(due != 0 ? due : among, pump)) continue;
        const bool before = due != 0 && chosen != no_pump
                                ? state.pumps[pump].released_ms < state.pumps[chosen].released_ms
                                : chosen == no_pump || comes_before(pump, chosen, state, settings);
        if (before) chosen = pump;
    }
    return chosen;
}

std::uint8_t next_to_stop(PumpMask among, const SequencerState& state, const Settings& settings) noexcept {
    std::uint8_t chosen = no_pump;
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump)
        if (has(among, pump) && (chosen == no_pump || comes_before(chosen, pump, state, settings)))
            chosen = pump;
    return chosen;
}

}  // namespace freshet::core
