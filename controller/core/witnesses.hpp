// The witnesses of the water and their vote: floats, transmitters and the volume balance.
// One reason to change: which witness is believed when two contradict each other.
//
// At a well the high float calls for pumps and the low float stops them. At a tank the floats change places.
// The transmitters say `low` at or past the stop mark, `high` from the stage-up mark on, and `middle` between.
// The balance vouches for water while the pumps cannot have emptied the store since the last sure sign of
// water, see contradiction.hpp.
//
// A vote is a row of the table. The first row that fits decides. No single witness empties or fills a store:
//
//   - The float that stops pumps is believed, unless the other float, two transmitters that agree, or one
//     transmitter together with the balance contradict the float.
//   - The float that calls is believed whatever one transmitter says, unless two transmitters that agree, or the
//     other float and a transmitter, say that no water is left.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/core/table_order.hpp"

namespace freshet::core {

/// What the transmitters say together.
enum class LevelSays : std::uint8_t {
    nothing,
    one_low,
    one_middle,
    one_high,
    two_low,
    two_middle,
    two_high,
    two_differ,
    count
};

/// What the witnesses say in one scan.
struct Testimony {
    bool calls = false;  ///< the float that calls for pumps has operated
    bool stops = false;  ///< the float that stops pumps has operated
    LevelSays level = LevelSays::nothing;
    bool balance_vouches = false;  ///< the pumps cannot have emptied the store
};

/// What happens to the pumps.
enum class VoteResult : std::uint8_t {
    staged,     ///< the staging decides by the measured value
    by_floats,  ///< the staging decides by the floats
    called,     ///< one pump after another starts
    stopped     ///< every pump stops
};

/// The rows of the table.
enum class Vote : std::uint8_t {
    floats_contradict_dry,
    floats_contradict,
    two_outvote_calling_float,
    float_calls_against_level,
    float_calls,
    two_outvote_float,
    balance_outvotes_float,
    float_stops_against_level,
    float_stops,
    level_differs,
    floats_alone,
    agree,
    count
};

enum class Said : std::uint8_t { no, yes, either };

/// A set of LevelSays, a bit each.
using LevelMask = std::uint8_t;
template <class... Says>
constexpr LevelMask levels(Says... says) {
    return static_cast<LevelMask>(((1U << static_cast<unsigned>(says)) | ...));
}
inline constexpr LevelMask any_level = 0xFF;

struct VoteRow {
    Vote code;
    Said calls, stops;
    LevelMask level;
    Said balance_vouches;
    VoteResult result;
    bool contradiction;  ///< people see a high-priority alarm

    constexpr bool fits(const Testimony& said) const {
        const auto is = [](Said wanted, bool value) {
            return wanted == Said::either || (wanted == Said::yes) == value;
        };
        return is(calls, said.calls) && is(stops, said.stops) &&
               ((level >> static_cast<unsigned>(said.level)) & 1U) != 0 &&
               is(balance_vouches, said.balance_vouches);
    }
};

inline constexpr std::array<VoteRow, static_cast<std::size_t>(Vote::count)> votes = [] {
    using enum LevelSays;
    using enum Said;
    using R = VoteResult;
    constexpr LevelMask one_sees_water = levels(one_middle, one_high, two_differ);
    return std::array<VoteRow, static_cast<std::size_t>(Vote::count)>{{
        {Vote::floats_contradict_dry, yes, yes, levels(one_low, two_low), either, R::stopped, true},
        {Vote::floats_contradict, yes, yes, any_level, either, R::called, true},
        {Vote::two_outvote_calling_float, yes, no, levels(two_low), either, R::staged, true},
        {Vote::float_calls_against_level, yes, no, levels(one_low, one_middle, two_middle), either, R::called,
         true},
        {Vote::float_calls, yes, no, any_level, either, R::called, false},
        {Vote::two_outvote_float, no, yes, levels(two_middle, two_high), either, R::staged, true},
        {Vote::balance_outvotes_float, no, yes, one_sees_water, yes, R::staged, true},
        {Vote::float_stops_against_level, no, yes, one_sees_water, no, R::stopped, true},
        {Vote::float_stops, no, yes, levels(nothing, one_low, two_low), either, R::stopped, false},
        {Vote::level_differs, no, no, levels(two_differ), either, R::staged, true},
        {Vote::floats_alone, no, no, levels(nothing), either, R::by_floats, false},
        {Vote::agree, no, no, any_level, either, R::staged, false},
    }};
}();

/// The first row that fits.
constexpr const VoteRow& row_of(const Testimony& said) noexcept {
    for (const VoteRow& row : votes)
        if (row.fits(said)) return row;
    return votes.back();
}

namespace audit {

/// Calls `holds` for every testimony. True when `holds` is true for all.
template <class Holds>
constexpr bool for_every_testimony(const Holds& holds) {
    for (const bool calls : {false, true})
        for (const bool stops : {false, true})
            for (const bool vouches : {false, true})
                for (std::uint8_t level = 0; level < static_cast<std::uint8_t>(LevelSays::count); ++level) {
                    const Testimony said{calls, stops, static_cast<LevelSays>(level), vouches};
                    if (!holds(said)) return false;
                }
    return true;
}

static_assert(is_in_order(votes, &VoteRow::code), "every row needs its code, in order");
static_assert(for_every_testimony([](const Testimony& said) { return row_of(said).fits(said); }),
              "every testimony needs a row");
static_assert(
    [] {
        for (const VoteRow& row : votes)
            if (for_every_testimony([&](const Testimony& said) { return row_of(said).code != row.code; }))
                return false;
        return true;
    }(),
    "every row decides some testimony");
static_assert(for_every_testimony([](const Testimony& said) {
                  return said.stops || row_of(said).result != VoteResult::stopped;
              }),
              "only the float that stops pumps stops them");
static_assert(for_every_testimony([](const Testimony& said) {
                  const bool calls = row_of(said).result == VoteResult::called;
                  const bool two_say_dry =
                      said.level == LevelSays::two_low || (said.stops && said.level == LevelSays::one_low);
                  return calls == (said.calls && !two_say_dry);
              }),
              "the float that calls counts unless two witnesses say that no water is left");
static_assert(for_every_testimony([](const Testimony& said) {
                  const bool one = said.level == LevelSays::one_middle || said.level == LevelSays::one_high;
                  const bool alone = said.stops && !said.calls && one && !said.balance_vouches;
                  return !alone || row_of(said).result == VoteResult::stopped;
              }),
              "one transmitter alone never outvotes the float that stops pumps");

}  // namespace audit

namespace tables {
/// The index of a testimony.
constexpr std::size_t index_of(const Testimony& said) noexcept {
    constexpr std::size_t level_count = static_cast<std::size_t>(LevelSays::count);
    const std::size_t bits =
        (said.calls ? 1U : 0U) | (said.stops ? 2U : 0U) | (said.balance_vouches ? 4U : 0U);
    return bits * level_count + static_cast<std::size_t>(said.level);
}
/// The row of every testimony, so that a scan does not search.
inline constexpr auto votes_of_testimonies = [] {
    constexpr std::size_t combinations = 8;
    std::array<Vote, combinations* static_cast<std::size_t>(LevelSays::count)> all{};
    audit::for_every_testimony([&](const Testimony& said) {
        all[index_of(said)] = row_of(said).code;
        return true;
    });
    return all;
}();
}  // namespace tables

/// The vote of the witnesses.
constexpr const VoteRow& vote_of(const Testimony& said) noexcept {
    return votes[static_cast<std::size_t>(tables::votes_of_testimonies[tables::index_of(said)])];
}

}  // namespace freshet::core
