// The plots of a report are one SVG drawing over a common time axis. The drawing shows the rain from the top,
// the inflow and the pumped flow, the level among its marks, the speed, and a lane for each pump. The lanes
// show how the drive passes from motor to motor. One reason to change: the look of a run on paper.
#pragma once

#include <string>

#include "controller/record/plot_data.hpp"
#include "controller/record/reported_events.hpp"
#include "controller/record/run_title.hpp"

namespace freshet::report {

/// Returns an `<svg>` element without outside references. Its styles are by class; see report_assets.hpp.
/// Returns an empty text when there are no data.
std::string plots_svg(const record::PlotData& data, const record::RunTitle& title,
                      const record::ReportedEvents& reported);

/// Returns the same thinned values as one JSON object, for the read-out under the pointer.
std::string plots_json(const record::PlotData& data, const record::RunTitle& title);

}  // namespace freshet::report
