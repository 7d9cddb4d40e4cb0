// Writes report.html. The page shows a run to people and needs no other file.
// One reason to change: the content of the page, and its order.
#pragma once

#include <string>

#include "controller/record/plot_data.hpp"
#include "controller/record/reported_events.hpp"
#include "controller/record/run_summary.hpp"
#include "controller/record/run_title.hpp"

namespace freshet::report {

std::string report_html(const record::RunTitle& title, const record::RunSummary& summary,
                        const record::PlotData& data, const record::ReportedEvents& reported);

}  // namespace freshet::report
