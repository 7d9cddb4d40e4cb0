// report.html: a run for people, on one page that needs nothing but itself.
// One reason to change: what a reader of a run is told, and in which order.
#pragma once

#include <string>

#include "hal/store/plot_data.hpp"
#include "hal/store/run_summary.hpp"
#include "hal/store/run_title.hpp"
#include "hal/store/told_events.hpp"

namespace freshet::store {

std::string report_html(const RunTitle& title, const RunSummary& summary, const PlotData& data,
                        const ToldEvents& told);

}  // namespace freshet::store
