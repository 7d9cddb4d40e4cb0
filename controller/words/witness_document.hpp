// The vote of the witnesses in words, and as a document: the rows of core/witnesses.hpp and of
// core/contradiction.hpp, with who is believed, what happens to the pumps, and which alarm people see.
// One reason to change: how the vote of the witnesses is shown or worded.
#pragma once

#include <array>
#include <string>
#include <string_view>

#include "controller/core/contradiction.hpp"
#include "controller/core/witnesses.hpp"
#include "controller/words/word.hpp"

namespace freshet::words {

struct VoteWord {
    core::Vote code;
    std::string_view name, text;  ///< text: a clause after "because"
    std::string_view believed;
    std::string_view alarm;  ///< name of the alarm that people see; empty: none
};

inline constexpr std::array<VoteWord, static_cast<std::size_t>(core::Vote::count)> vote_rows{{
    {core::Vote::floats_contradict_dry, "floats_contradict_dry",
     "both floats had operated, and the transmitters agreed with the float that stops pumps",
     "the float that stops pumps, and the transmitters", "witnesses_contradict"},
    {core::Vote::floats_contradict, "floats_contradict",
     "both floats had operated, and no transmitter agreed with the float that stops pumps",
     "the float that calls for pumps", "witnesses_contradict"},
    {core::Vote::two_outvote_calling_float, "two_outvote_calling_float",
     "the float that calls for pumps had operated, and two transmitters agreed that no water is left",
     "the two transmitters", "witnesses_contradict"},
    {core::Vote::float_calls_against_level, "float_calls_against_level",
     "the float that calls for pumps had operated below the stage-up mark of the transmitters",
     "the float that calls for pumps", "witnesses_contradict"},
    {core::Vote::float_calls, "float_calls", "the float that calls for pumps had operated", "the float",
     "high_float"},
    {core::Vote::two_outvote_float, "two_outvote_float",
     "the float that stops pumps had operated, and two transmitters agreed that water is left",
     "the two transmitters", "witnesses_contradict"},
    {core::Vote::balance_outvotes_float, "balance_outvotes_float",
     "the float that stops pumps had operated, and a transmitter and the volume balance agreed that water is "
     "left",
     "the transmitter and the balance", "witnesses_contradict"},
    {core::Vote::float_stops_against_level, "float_stops_against_level",
     "the float that stops pumps had operated, and one transmitter alone showed that water is left",
     "the float", "witnesses_contradict"},
    {core::Vote::float_stops, "float_stops",
     "the float that stops pumps had operated, and no transmitter contradicted the float", "the float",
     "low_float"},
    {core::Vote::level_differs, "level_differs", "the transmitters disagreed",
     "the transmitter with the higher value", "transmitters_disagree"},
    {core::Vote::floats_alone, "floats_alone", "no transmitter was believed, and no float had operated",
     "the floats", "value_bad"},
    {core::Vote::agree, "agree", "the floats and the transmitters agreed", "every witness", ""},
}};
static_assert(complete(vote_rows, static_cast<std::size_t>(core::Vote::count)),
              "every vote needs its words, in order");

inline constexpr std::array<Word<core::Contradiction>, static_cast<std::size_t>(core::Contradiction::count)>
    contradiction_rows{{
        {core::Contradiction::none, "none", "no transmitter was contradicted"},
        {core::Contradiction::jumped, "jumped",
         "a transmitter jumped further than the water can, and no other witness confirmed the jump"},
        {core::Contradiction::fell, "fell", "a transmitter fell further than the pumps can draw"},
        {core::Contradiction::by_float, "by_float",
         "a transmitter showed water while the float that stops pumps worked and showed none"},
        {core::Contradiction::below_float, "below_float",
         "a transmitter showed too little twice within an hour while the float that calls for pumps "
         "operated"},
    }};
static_assert(complete(contradiction_rows, static_cast<std::size_t>(core::Contradiction::count)),
              "every contradiction needs its words, in order");

/// The table of the vote, and the table of the transmitters that are not believed, in Markdown.
std::string witnesses_markdown();

}  // namespace freshet::words
