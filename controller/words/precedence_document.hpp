// The order of precedence as a document: the rows of core/precedence.hpp, with the grounds of each row, what the
// row overrides, until when, who may override the row, and what people see.
// One reason to change: how the order of precedence is shown or worded.
#pragma once

#include <array>
#include <string>
#include <string_view>

#include "controller/core/precedence.hpp"
#include "controller/words/word.hpp"

namespace freshet::words {

struct PrecedenceWord {
    core::Precedence code;
    std::string_view name, text;  ///< text: what the row is about
    std::string_view until;       ///< how long the row overrides the rows below
    std::string_view overridden_by;
    std::string_view shown;  ///< what people see
};

inline constexpr std::array<PrecedenceWord, static_cast<std::size_t>(core::Precedence::count)>
    precedence_rows{{
        {core::Precedence::harm, "harm", "immediate harm to people, motors, drive, supply or main",
         "until the ground has ended; after an emergency stop also until a person resets",
         "nobody at the controller; people at the station work under their own rules",
         "a protective stop or a refused start, with its ground"},
        {core::Precedence::water, "water", "keep the water in, or the pressure up",
         "while a float calls, while the value is past the high mark, or while the store is foreseen to rise "
         "halfway from the stage-up mark to the high mark; once begun, until the value is back at the "
         "stage-up mark",
         "harm", "an event for each limit that gives way, and the alarm `limit_yields`"},
        {core::Precedence::machines, "machines",
         "spare the machines: rest, minimum run, starts and transfers an hour, leaking seals",
         "until the time of the limit is over",
         "harm; water in danger; people, by a limit in the station file",
         "an event for each refused start or transfer with the time left, and after a minute the alarm "
         "`limit_refuses`"},
        {core::Precedence::value, "value", "hold the measured value within its marks", "always",
         "harm; water; machines", "the next action with its countdown"},
        {core::Precedence::energy, "energy", "save energy", "always", "every other row",
         "nothing of its own"},
    }};
static_assert(complete(precedence_rows, static_cast<std::size_t>(core::Precedence::count)),
              "every row of the precedence needs its words, in order");

/// A table of the rows, worst first, and a table of the grounds of each row, in Markdown.
std::string precedence_markdown();

}  // namespace freshet::words
