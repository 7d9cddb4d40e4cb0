// Puts the page together: head, figures, plots, events in words, cautions.
#include "controller/report/report.hpp"

#include <fmt/format.h>

#include <cmath>
#include <string_view>

#include "controller/report/markup.hpp"
#include "controller/report/plot_axes.hpp"
#include "controller/report/report_assets.hpp"
#include "controller/report/report_plots.hpp"
#include "controller/words/cautions.hpp"
#include "controller/words/instant.hpp"
#include "controller/words/sentences.hpp"

namespace freshet::report {
namespace {

std::string figure(double value, int decimals, std::string_view unit) {
    if (!std::isfinite(value)) return "not known";
    return fmt::format("{:.{}f} {}", value, decimals, unit);
}

void put_row(std::string& html, std::string_view name, std::string_view value, bool abnormal = false) {
    html += fmt::format("<tr{}><td>{}</td><td class=\"n\">{}</td></tr>\n",
                        abnormal ? " class=\"abnormal-row\"" : "", name, value);
}

void put_head(std::string& html, const record::RunTitle& title, const record::PlotData& data) {
    const std::string name = escaped(title.scenario.empty() ? title.station : title.scenario);
    html += fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\n<title>Freshet: {}</title>\n",
        name);
    html += fmt::format(
        "<meta name=\"viewport\" content=\"width=device-width\">\n<style>{}{}</style></head><body>\n",
        report_style, plot_style);
    html += fmt::format(
        "<h1>{}</h1>\n<p class=\"sub\">{}{}station {}, {} pumps{}</p>\n", name, escaped(title.title),
        title.title.empty() ? "" : "; ", escaped(title.station), title.settings.pump_count,
        data.empty()
            ? std::string()
            : fmt::format("; {} to {}", words::instant(data.begin_ms()), words::instant(data.end_ms())));
    html += fmt::format(
        "<p class=\"banner\"><strong>Advisory only.</strong> {}</p>\n",
        title.simulated
            ? "The station is simulated. Nothing here was measured on real equipment."
            : "This record shows published advice. The station decides what it does with the advice.");
}

/// Returns a text such as "56.0 s (under_range 51.0 s, stale 5.0 s)".
std::string doubt_text(const record::RunSummary& summary) {
    std::string text = figure(summary.measured_uncertain_s + summary.measured_bad_s, 1, "s");
    std::string causes;
    for (const auto& [cause, seconds] : summary.measured_not_good_s_by_cause)
        causes += fmt::format("{}{} {:.1f} s", causes.empty() ? "" : ", ", cause, seconds);
    return causes.empty() ? text : fmt::format("{} ({})", text, causes);
}

void put_figures(std::string& html, const record::RunSummary& summary) {
    html += "<h2>Figures</h2>\n<div class=\"figures\">\n<table>\n";
    put_row(html, "time simulated", figure(summary.simulated_s / 3600, 2, "h"));
    put_row(html, "wall time", figure(summary.wall_s, 2, "s"));
    put_row(html, "highest level", figure(summary.level_max_m, 3, "m"));
    put_row(html, "lowest level", figure(summary.level_min_m, 3, "m"));
    put_row(html, "measured value uncertain or bad", doubt_text(summary),
            summary.measured_uncertain_s + summary.measured_bad_s > 0);
    put_row(html, "inflow", figure(summary.inflow_m3, 1, "m3"));
    put_row(html, "pumped", figure(summary.pumped_m3, 1, "m3"));
    put_row(html, summary.overflow_m3 > 0 ? "OVERFLOW" : "overflow", figure(summary.overflow_m3, 1, "m3"),
            summary.overflow_m3 > 0);
    put_row(html, "volume balance error",
            std::isfinite(summary.volume_error_m3) ? fmt::format("{:.2g} m3", summary.volume_error_m3)
                                                   : "not known");
    put_row(html, "energy at the line", figure(summary.energy_kwh, 0, "kWh"));
    if (summary.pumped_m3 > 0) {
        put_row(html, "energy per volume pumped",
                figure(summary.energy_kwh / summary.pumped_m3, 4, "kWh/m3"));
    }
    if (std::isfinite(summary.energy_cost))
        put_row(html, "cost of energy, in the tariff's money", fmt::format("{:.2f}", summary.energy_cost));
    html += "</table>\n<table>\n";
    put_row(html, "hand-overs", fmt::to_string(summary.hand_overs));
    put_row(html, "take-backs", fmt::to_string(summary.take_backs));
    put_row(html, "line starts", fmt::to_string(summary.line_starts));
    put_row(html, "most transfers completed in an hour", fmt::to_string(summary.transfers_per_hour_max));
    put_row(html, "most starts of a pump in an hour", fmt::to_string(summary.starts_per_hour_max));
    put_row(html, "longest overlap", figure(summary.overlap_ms_max, 0, "ms"));
    put_row(html, "largest closing angle", figure(summary.closing_angle_deg_max, 2, "deg"));
    put_row(html, "alarms raised", fmt::to_string(summary.alarms), summary.alarms != 0);
    html += "</table>\n<table>\n<tr><th>pump</th><th>starts</th><th>run (h)</th></tr>\n";
    for (std::size_t pump = 0; pump < summary.pump_count && pump < core::pumps_max; ++pump) {
        html += fmt::format("<tr><td>{}</td><td class=\"n\">{}</td><td class=\"n\">{:.2f}</td></tr>\n",
                            pump + 1, summary.starts_per_pump[pump], summary.run_h_per_pump[pump]);
    }
    if (std::isfinite(summary.wear_run_h_spread))
        html += fmt::format(
            "<tr><td>spread of the meters</td><td class=\"n\">{:.0f}</td><td class=\"n\">{:.2f}</td></tr>\n",
            summary.wear_starts_spread, summary.wear_run_h_spread);
    html += "</table>\n</div>\n";
}

/// Writes the times for which pumps worked in states in which a pump should not work.
void put_water(std::string& html, const record::RunSummary& summary) {
    if (!std::isfinite(summary.suction_dry_s)) return;
    html += "<h2>How the water treated the pumps</h2>\n<div class=\"figures\">\n<table>\n";
    const auto put_time = [&html](std::string_view name, double seconds) {
        put_row(html, name, figure(seconds, 0, "s"), seconds > 0);
    };
    put_time("a pump turned below the suction level", summary.suction_dry_s);
    put_time("a pump turned below the vortex level", summary.vortex_s);
    put_time("vapour pressure at the header", summary.column_parts_s);
    put_row(html, "surge head if all pumps had tripped at the highest flow (Joukowsky)",
            figure(summary.surge_head_max_m, 0, "m"));
    html +=
        "</table>\n<table>\n<tr><th>pump</th><th>below minimum flow (s)</th><th>backflow (s)</th>"
        "<th>NPSH short (s)</th><th>least NPSH margin (m)</th></tr>\n";
    for (std::size_t pump = 0; pump < summary.pump_count && pump < core::pumps_max; ++pump) {
        const record::PumpWater& water = summary.water_per_pump[pump];
        html += fmt::format(
            "<tr{}><td>{}</td><td class=\"n\">{:.0f}</td><td class=\"n\">{:.0f}</td><td "
            "class=\"n\">{:.0f}</td><td class=\"n\">{}</td></tr>\n",
            water.npsh_short_s > 0 ? " class=\"abnormal-row\"" : "", pump + 1, water.below_minimum_flow_s,
            water.backflow_s, water.npsh_short_s,
            std::isfinite(water.npsh_margin_min_m) ? fmt::format("{:.1f}", water.npsh_margin_min_m)
                                                   : "did not turn");
    }
    html += "</table>\n</div>\n";
}

/// Writes one row for each closing onto a live source. A ratio to the current before the closing has no
/// meaning for a motor at rest.
void put_closings(std::string& html, const record::RunSummary& summary) {
    if (summary.closings.empty()) return;
    html +=
        "<h2>Closings</h2>\n<p>Every closing of a motor onto a live source, as a fifth-order model of the "
        "machine calculates it. An open transfer is judged by 1.33 V/Hz per unit; a motor that was at rest "
        "takes its starting current.</p>\n";
    if (summary.closing_count > summary.closings.size())
        html += fmt::format("<p>The first {} of {} closings.</p>\n", summary.closings.size(),
                            *summary.closing_count);
    html +=
        "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"closings\"><table>\n"
        "<tr><th>time (UTC)</th><th>pump</th><th>onto</th><th>angle (deg)</th><th>slip (Hz)</th>"
        "<th>resultant (V/Hz pu)</th><th>peak current (times before)</th><th>torque (times "
        "rated)</th></tr>\n";
    for (const record::ClosingShock& closing : summary.closings) {
        const bool at_rest = closing.from_rest || !std::isfinite(closing.peak_current_ratio);
        html += fmt::format(
            "<tr><td>{}</td><td class=\"n\">{}</td><td>{}</td><td class=\"n\">{:.1f}</td><td "
            "class=\"n\">{:.2f}</td>"
            "<td class=\"n\">{:.2f}</td><td class=\"n\">{}</td><td class=\"n\">{}</td></tr>\n",
            words::instant(closing.time_ms), closing.pump + 1, closing.line_side ? "line" : "drive",
            closing.angle_deg, closing.slip_hz, closing.resultant_v_per_hz_pu,
            at_rest ? "from rest" : fmt::format("{:.2f}", closing.peak_current_ratio),
            at_rest ? "from rest"
                    : fmt::format("{:.2f} to {:.2f}", closing.torque_min_ratio, closing.torque_max_ratio));
    }
    html += "</table></div>\n";
}

void put_plots(std::string& html, const record::RunTitle& title, const record::PlotData& data,
               const record::ReportedEvents& reported) {
    html += "<h2>The run</h2>\n";
    html += plots_svg(data, title, reported);
    html +=
        "<p id=\"readout\" aria-live=\"polite\"><span id=\"hint\">Point at the plots, or give them the "
        "focus and use the arrow keys, to read the values at an instant.</span></p>\n";
}

void put_events(std::string& html, const record::ReportedEvents& reported) {
    html += "<h2>What happened, and why</h2>\n";
    if (reported.count > reported.events.size()) {
        html += fmt::format("<p>The first {} of {} events. The journal, journal.jsonl, has all events.</p>\n",
                            reported.events.size(), reported.count);
    }
    html +=
        "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"events\"><table>\n"
        "<tr><th>time (UTC)</th><th>no.</th><th>event</th></tr>\n";
    for (const record::ReportedEvent& entry : reported.events) {
        html += fmt::format("<tr{}><td>{}</td><td class=\"n\">{}</td><td>{}</td></tr>\n",
                            record::is_abnormal(entry.event.what) ? " class=\"abnormal-row\"" : "",
                            words::instant(entry.time_ms), entry.event.number,
                            escaped(words::sentence(entry.event)));
    }
    html += "</table></div>\n";
}

void put_cautions(std::string& html) {
    html += "<div class=\"cautions\"><h2>Cautions</h2>\n<ul>\n";
    for (const std::string_view caution : words::cautions)
        html += fmt::format("<li>{}</li>\n", escaped(caution));
    html += "</ul></div>\n";
}

}  // namespace

std::string report_html(const record::RunTitle& title, const record::RunSummary& summary,
                        const record::PlotData& data, const record::ReportedEvents& reported) {
    std::string html;
    put_head(html, title, data);
    put_figures(html, summary);
    if (!data.empty()) put_plots(html, title, data, reported);
    put_water(html, summary);
    put_closings(html, summary);
    put_events(html, reported);
    put_cautions(html);
    if (!data.empty()) {
        html += fmt::format(
            "<script type=\"application/json\" id=\"plot-data\">{}</script>\n<script>{}</script>\n",
            plots_json(data, title), report_script);
    }
    html += "</body></html>\n";
    return html;
}

}  // namespace freshet::report
