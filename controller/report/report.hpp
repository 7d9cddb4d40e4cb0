// report.html: a run for people, on one page that needs nothing but itself.
// One reason to change: what a reader of a run is told, and in which order.
#pragma once

#include <string>

#include "controller/record/plot_data.hpp"
#include "controller/record/run_summary.hpp"
#include "controller/record/run_title.hpp"
#include "controller/record/told_events.hpp"

namespace freshet::report {

std::string report_html(const record::RunTitle& title, const record::RunSummary& summary,
                        const record::PlotData& data, const record::ToldEvents& told);

}  // namespace freshet::report
