// A run beside another: the same scenario under settings with one thing left out, figures side by side.
// One reason to change: what can be left out, or which figures are compared.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "controller/core/settings.hpp"
#include "controller/record/run_summary.hpp"

namespace freshet::studies {

/// Something of the controller that a run beside can do without.
struct LeftOut {
    std::string_view name;  ///< as on the command line, and the folder of its record
    void (*leave_out)(core::Settings& settings);
};
std::span<const LeftOut> known_left_out();
/// Null when there is none of that name.
const LeftOut* find_left_out(std::string_view name);

/// The figures of both runs in two columns; for a well with its overflow at `crest_m` also how much of the
/// margin that the second run left the first kept free. Another duty has no crest.
std::string side_by_side(const record::RunSummary& as_described, const record::RunSummary& beside,
                         std::string_view left_out, std::optional<double> crest_m);

/// Share of the margin between the second run's highest value and the crest by which the first stayed below
/// it; negative: above it. A second run that left no margin counts as having left a millimetre.
double margin_gained(const record::RunSummary& as_described, const record::RunSummary& beside,
                     double crest_m);

/// Starts of all pumps.
unsigned starts_of(const record::RunSummary& summary);

}  // namespace freshet::studies
