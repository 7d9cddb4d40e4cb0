// The backup floats: which one calls for pumps, which one stops them, and the vote on both.
// One reason to change: what a float may decide.
#pragma once

#include <cstdint>

#include "controller/core/held.hpp"
#include "controller/core/need.hpp"
#include "controller/core/picture.hpp"
#include "controller/core/signals.hpp"
#include "controller/core/witnesses.hpp"

namespace freshet::core {

/// The floats in one scan, after their holding time.
struct Floats {
    bool high = false;      ///< the high float is wet, for the holding time
    bool low_off = false;   ///< the low float is dry, for the holding time
    bool operated = false;  ///< the float that stops pumps has operated
    bool called = false;    ///< the float that calls for pumps has operated
    bool calls = false;     ///< the float that calls for pumps has operated and is believed
    bool stops = false;     ///< the float that stops pumps has operated and is believed
    Vote vote = Vote::floats_alone;
    std::int64_t high_since_ms = never_ms, low_off_since_ms = never_ms;
};

/// What the transmitters say together. Two that agree are two witnesses. A doubtful value is one witness. An older
/// value that replaces a doubtful reading says nothing about the water of now.
inline LevelSays level_says(const MeasuredValue& measured, double need_m, const NeedMarks& marks) noexcept {
    if (measured.quality == Quality::bad || measured.held) return LevelSays::nothing;
    if (measured.disagree) return LevelSays::two_differ;
    constexpr std::uint8_t both = 2;
    const bool two = measured.usable >= both && measured.quality == Quality::good;
    if (need_m <= marks.stop_m) return two ? LevelSays::two_low : LevelSays::one_low;
    if (need_m >= marks.stage_up_m) return two ? LevelSays::two_high : LevelSays::one_high;
    return two ? LevelSays::two_middle : LevelSays::one_middle;
}

/// What the witnesses of earlier scans say about the floats.
struct FloatCredit {
    bool vouches = false;         ///< water is left, whatever the float that stops pumps says
    bool call_disproved = false;  ///< the float that calls for pumps is not heard
};

/// True while a float has moved and its holding time runs.
inline bool floats_move(const Floats& floats, const Picture& picture) noexcept {
    return floats.high != picture.high_float || floats.low_off != picture.low_float_off;
}

/// Renews the floats for one scan, and votes.
inline void renew_floats(Floats& floats, const Picture& picture, LevelSays level, const FloatCredit& credit,
                         const Settings& settings) noexcept {
    const std::int32_t hold_ms = settings.floats.hold_ms;
    floats.high = held_for(floats.high_since_ms, picture.high_float, hold_ms, picture.time_ms);
    floats.low_off = held_for(floats.low_off_since_ms, picture.low_float_off, hold_ms, picture.time_ms);
    const bool empties = settings.action == Action::direct;
    floats.operated = empties ? floats.low_off : floats.high;
    floats.called = empties ? floats.high : floats.low_off;
    const VoteRow& row =
        vote_of(Testimony{floats.called && !credit.call_disproved, floats.operated, level, credit.vouches});
    floats.vote = row.code;
    floats.calls = row.result == VoteResult::called;
    floats.stops = row.result == VoteResult::stopped;
}

}  // namespace freshet::core
