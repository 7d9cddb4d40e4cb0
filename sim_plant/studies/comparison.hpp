// Two runs compared: a scenario as described, and again without one function of the controller.
// One reason to change: the functions that can be left out, or the compared figures.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "controller/core/settings.hpp"
#include "controller/record/run_summary.hpp"

namespace freshet::studies {

/// A function of the controller that the compared run does not use.
struct LeftOut {
    std::string_view name;  ///< as on the command line, and the folder of its record
    void (*leave_out)(core::Settings& settings);
};
std::span<const LeftOut> known_left_out();
/// Null when no function has that name.
const LeftOut* find_left_out(std::string_view name);

/// The figures of both runs in two columns. For a well with its overflow at `crest_m` the text also says
/// which share of the margin to the overflow the function saves. Other duties have no crest.
std::string side_by_side(const record::RunSummary& as_described, const record::RunSummary& compared,
                         std::string_view left_out, std::optional<double> crest_m);

/// The difference between the highest levels of both runs, divided by the margin between the highest level of
/// the compared run and the crest. Negative when the run as described rose higher. A compared run without a
/// margin counts with a margin of one millimetre.
double margin_gained(const record::RunSummary& as_described, const record::RunSummary& compared,
                     double crest_m);

/// Starts of all pumps.
unsigned starts_of(const record::RunSummary& summary);

}  // namespace freshet::studies
