// The plots of a report as one SVG drawing over a common time axis: rain from the top, inflow and
// pumped flow, the level among its marks, the speed, and a lane per pump along which the drive passes from
// motor to motor. One reason to change: what a run looks like on paper.
#pragma once

#include <string>

#include "controller/record/plot_data.hpp"
#include "controller/record/reported_events.hpp"
#include "controller/record/run_title.hpp"

namespace freshet::report {

/// An `<svg>` element without outside references; styles are by class, see report_assets.hpp. Empty without
/// data.
std::string plots_svg(const record::PlotData& data, const record::RunTitle& title,
                      const record::ReportedEvents& reported);

/// The same thinned values as one JSON object, for the read-out under the pointer.
std::string plots_json(const record::PlotData& data, const record::RunTitle& title);

}  // namespace freshet::report
