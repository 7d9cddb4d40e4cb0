// Draws the panels below each other. Each function draws one panel.
#include "controller/report/report_plots.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>
#include <vector>

#include "controller/report/markup.hpp"
#include "controller/report/plot_axes.hpp"
#include "controller/report/plot_frame.hpp"
#include "controller/report/plot_lanes.hpp"
#include "controller/words/instant.hpp"
#include "controller/words/sentences.hpp"
#include "controller/words/states.hpp"

namespace freshet::report {
namespace {

using record::Bucket;
using record::Range;
using record::Series;

constexpr double width = 1120, left = 72, right = 955;
constexpr PlotEdges edges{left, right};
constexpr double water_top = 30, water_bottom = 190;
constexpr double level_top = 226, level_bottom = 406;
constexpr double speed_top = 442, speed_bottom = 532;
constexpr double lanes_top = 562;

struct Drawing {
    std::string svg;
    TimeAxis time;
    const record::PlotData& data;
    const record::RunTitle& title;
    double bottom;

    double centre_x(std::size_t bucket) const {
        const std::int64_t at = data.begin_ms() + static_cast<std::int64_t>(bucket) * data.bucket_ms();
        return time.x(std::min(at + data.bucket_ms() / 2, data.end_ms()));
    }
};

bool known(const record::PlotData& data, Series which) {
    return std::any_of(data.buckets().begin(), data.buckets().end(),
                       [which](const Bucket& bucket) { return bucket.of(which).known(); });
}

/// Returns the common range of several series. Returns an empty range when no value is known.
Range extent(const record::PlotData& data, std::initializer_list<Series> series) {
    Range range;
    for (const Bucket& bucket : data.buckets()) {
        for (const Series which : series) {
            if (bucket.of(which).known()) range.add(bucket.of(which));
        }
    }
    return range;
}

/// Draws the means of a series as a line. Unknown values are gaps in the line.
void draw_line(Drawing& drawing, Series which, const ValueAxis& axis, std::string_view style) {
    std::string path;
    bool pen_down = false;
    for (std::size_t i = 0; i < drawing.data.buckets().size(); ++i) {
        const Range& range = drawing.data.buckets()[i].of(which);
        if (range.known()) {
            path += fmt::format("{}{:.1f} {:.1f}", pen_down ? 'L' : 'M', drawing.centre_x(i),
                                axis.y(range.mean()));
        }
        pen_down = range.known();
    }
    if (!path.empty()) drawing.svg += fmt::format(R"(<path d="{}" class="{}"/>)", path, style);
}

/// Draws the range from the smallest to the largest value of each bucket, because a bucket must not hide a
/// peak.
void draw_spread(Drawing& drawing, Series which, const ValueAxis& axis, std::string_view style) {
    std::string path;
    for (std::size_t i = 0; i < drawing.data.buckets().size(); ++i) {
        const Range& range = drawing.data.buckets()[i].of(which);
        if (!range.known() || range.max <= range.min) continue;
        path +=
            fmt::format("M{:.1f} {:.1f}V{:.1f}", drawing.centre_x(i), axis.y(range.min), axis.y(range.max));
    }
    if (!path.empty()) drawing.svg += fmt::format(R"(<path d="{}" class="{}"/>)", path, style);
}

/// Draws the means of a series as upright bars. A bar goes from the low end of the axis to the value.
void draw_bars(Drawing& drawing, Series which, const ValueAxis& axis, std::string_view style) {
    const double bar =
        std::max(0.5, drawing.time.x(drawing.data.begin_ms() + drawing.data.bucket_ms()) - left);
    std::string path;
    for (std::size_t i = 0; i < drawing.data.buckets().size(); ++i) {
        const Range& range = drawing.data.buckets()[i].of(which);
        if (!range.known() || range.max <= 0) continue;
        path +=
            fmt::format("M{:.1f} {:.1f}V{:.1f}", drawing.centre_x(i), axis.y(axis.low), axis.y(range.mean()));
    }
    if (!path.empty())
        drawing.svg +=
            fmt::format(R"(<path d="{}" class="{}" stroke-width="{:.2f}"/>)", path, style, bar + 0.1);
}

void draw_time_grid(Drawing& drawing) {
    const auto ticks = drawing.time.ticks(13);
    std::string date_said;
    for (const std::int64_t tick : ticks) {
        const double x = drawing.time.x(tick);
        const std::string text = words::instant(tick);
        const std::string date = text.substr(0, 10);
        const bool seconds = ticks.size() > 1 && ticks[1] - ticks[0] < 60'000;
        draw_upright_tick(drawing.svg, x, water_top, drawing.bottom, text.substr(11, seconds ? 8 : 5));
        if (date != date_said) {
            drawing.svg += fmt::format(R"(<text x="{:.1f}" y="{:.1f}" class="label middle">{}</text>)", x,
                                       drawing.bottom + 31, date);
            date_said = date;
        }
    }
    drawing.svg += fmt::format(R"(<text x="{:.1f}" y="{:.1f}" class="label">UTC</text>)", right + 8,
                               drawing.bottom + 16);
}

void draw_water(Drawing& drawing) {
    const Range flows =
        extent(drawing.data, {Series::inflow, Series::inflow_observed, Series::pumped, Series::overflow});
    const bool rained = known(drawing.data, Series::rain);
    const double flow_max = flows.known() ? std::max<double>(flows.max, 0.001) : 1;
    // The rain takes the upper third, so the flows use the lower two thirds.
    const ValueAxis flow = rounded_axis(0, flow_max * (rained ? 1.35 : 1.05), water_bottom, water_top);
    draw_heading(drawing.svg, edges, water_top,
                 rained ? "rain (mm/h, from the top) and flows (m3/s)" : "flows (m3/s)");
    draw_value_ticks(drawing.svg, edges, flow, 6);
    double key_y = water_top + 12;
    if (rained) {
        const Range rain = extent(drawing.data, {Series::rain});
        const ValueAxis hanging{0, std::max<double>(rain.max, 1) * 3, water_top, water_bottom};
        draw_bars(drawing, Series::rain, hanging, "rain");
        draw_key(drawing.svg, edges, key_y, "rain-key", fmt::format("rain, up to {:.3g} mm/h", rain.max));
        key_y += 18;
    }
    if (known(drawing.data, Series::inflow)) {
        draw_line(drawing, Series::inflow, flow, "inflow");
        draw_key(drawing.svg, edges, key_y, "inflow", "inflow");
        key_y += 18;
    }
    draw_line(drawing, Series::inflow_observed, flow, "observed");
    draw_key(drawing.svg, edges, key_y, "observed", "inflow as estimated");
    if (known(drawing.data, Series::pumped)) {
        draw_line(drawing, Series::pumped, flow, "pumped");
        draw_key(drawing.svg, edges, key_y + 18, "pumped", "pumped");
    }
    if (extent(drawing.data, {Series::overflow}).max > 0) {
        draw_bars(drawing, Series::overflow, flow, "overflow");
        draw_key(drawing.svg, edges, key_y + 36, "overflow-key", "OVERFLOW");
    }
}

struct Mark {
    double value_m;
    std::string_view name;
    bool abnormal;
};

std::vector<Mark> marks_of(const core::Settings& settings) {
    const auto& marks = settings.marks;
    return {{marks.high_alarm_m, "high alarm", true},  {marks.stage_up_m, "stage up", false},
            {marks.start_m, "start", false},           {marks.setpoint_m, "setpoint", false},
            {marks.stage_down_m, "stage down", false}, {marks.stop_m, "stop", false},
            {marks.low_cutoff_m, "low cut-off", true}};
}

void draw_marks(Drawing& drawing, const ValueAxis& axis) {
    std::vector<Mark> marks = marks_of(drawing.title.settings);
    std::stable_sort(marks.begin(), marks.end(),
                     [](const Mark& a, const Mark& b) { return a.value_m > b.value_m; });
    double label_y = level_top - 12;
    for (const Mark& mark : marks) {
        const double y = axis.y(mark.value_m);
        drawing.svg += fmt::format(R"(<path d="M{:.1f} {:.1f}H{:.1f}" class="{}"/>)", left, y, right,
                                   mark.abnormal ? "mark limit" : "mark");
        label_y = std::max(y, label_y + 13);  // two marks may be closer together than their labels
        drawing.svg += fmt::format(R"(<text x="{:.1f}" y="{:.1f}" class="label">{} {:.4g} m</text>)",
                                   right + 8, label_y + 4, mark.name, mark.value_m);
    }
}

void draw_level(Drawing& drawing) {
    Range range = extent(drawing.data, {Series::level, Series::measured});
    for (const Mark& mark : marks_of(drawing.title.settings)) range.add(mark.value_m);
    const ValueAxis axis = rounded_axis(range.min, range.max, level_bottom, level_top);
    const bool pressure = drawing.title.settings.measured == core::Measured::header_pressure;
    draw_heading(drawing.svg, edges, level_top,
                 pressure ? "header pressure head (m), dark = true, light = measured"
                          : "level (m), dark = true, light = measured");
    draw_value_ticks(drawing.svg, edges, axis, 7);
    draw_marks(drawing, axis);
    draw_spread(drawing, Series::measured, axis, "spread");
    draw_line(drawing, Series::measured, axis, "measured");
    draw_spread(drawing, Series::level, axis, "spread-dark");
    draw_line(drawing, Series::level, axis, "level");
}

void draw_speed(Drawing& drawing) {
    const Range range = extent(drawing.data, {Series::speed_reference, Series::drive_frequency});
    const double top_hz =
        std::max<double>(range.known() ? range.max : 0, drawing.title.settings.drive.speed_max_hz);
    const ValueAxis axis = rounded_axis(0, top_hz, speed_bottom, speed_top);
    draw_heading(drawing.svg, edges, speed_top, "speed of the drive (Hz)");
    draw_value_ticks(drawing.svg, edges, axis, 4);
    draw_line(drawing, Series::speed_reference, axis, "observed");
    draw_key(drawing.svg, edges, speed_top + 12, "observed", "advised");
    if (known(drawing.data, Series::drive_frequency)) {
        draw_line(drawing, Series::drive_frequency, axis, "level");
        draw_key(drawing.svg, edges, speed_top + 30, "level", "drive output");
    }
}

/// Draws a triangle under the lanes for each abnormal event. The sentence about the event is
/// in the table below and in the tip.
void draw_abnormal(Drawing& drawing, const record::ReportedEvents& reported, double y) {
    drawing.svg +=
        fmt::format(R"(<text x="{:.1f}" y="{:.1f}" class="label end">alarms</text>)", left - 8, y + 4);
    for (const record::ReportedEvent& entry : reported.events) {
        if (!record::is_abnormal(entry.event.what)) continue;
        drawing.svg +=
            fmt::format(R"(<path d="M{:.1f} {:.1f}l5 9h-10z" class="abnormal"><title>{} {}</title></path>)",
                        drawing.time.x(entry.time_ms), y - 4, words::instant(entry.time_ms),
                        escaped(words::sentence(entry.event)));
    }
}

void draw_lane_keys(Drawing& drawing) {
    struct Key {
        std::string_view style, text;
    };
    constexpr Key keys[] = {{"lane-line", "on the line"},
                            {"lane-drive", "on the drive"},
                            {"lane-transfer", "in transfer"},
                            {"lane-moving", "starting, stopping"},
                            {"lane-locked", "locked out"}};
    double y = lanes_top + 10;
    for (const Key& key : keys) {
        drawing.svg += fmt::format(
            R"(<rect x="{:.1f}" y="{:.1f}" width="20" height="12" class="{}"/><text x="{:.1f}" y="{:.1f}" class="label">{}</text>)",
            right + 8, y - 6, key.style, right + 32, y + 4, key.text);
        y += 18;
    }
}

/// Appends the means of one series as a JSON array, to three decimals. An unknown mean is null.
void put_series(std::string& json, const record::PlotData& data, Series which, std::string_view name) {
    json += fmt::format(R"("{}":[)", name);
    for (std::size_t i = 0; i < data.buckets().size(); ++i) {
        if (i != 0) json += ',';
        const Range& range = data.buckets()[i].of(which);
        words::append_number(json, range.known() ? std::round(range.mean() * 1e3) / 1e3 : std::nan(""));
    }
    json += "],";
}

}  // namespace

std::string plots_svg(const record::PlotData& data, const record::RunTitle& title,
                      const record::ReportedEvents& reported) {
    if (data.empty()) return {};
    const std::uint8_t pumps = title.settings.pump_count;
    // The keys next to the lanes need this room, even for a small number of pumps.
    const double strip_y = lanes_top + std::max(lane_pitch * pumps, 90.0) + 12;
    Drawing drawing{{},
                    {data.begin_ms(), std::max(data.end_ms(), data.begin_ms() + 1), left, right},
                    data,
                    title,
                    strip_y + 10};
    drawing.svg += fmt::format(
        R"(<div class="wide"><svg id="plots" viewBox="0 0 {} {:.0f}" role="img" aria-labelledby="plots-title" tabindex="0" )"
        R"(data-left="{}" data-right="{}" data-top="{}" data-bottom="{:.0f}">)"
        R"(<title id="plots-title">Rain, flows, level, speed and the state of each pump along the run; figures in the tables</title>)",
        width, drawing.bottom + 40, left, right, water_top, drawing.bottom);
    drawing.svg += lane_patterns;
    draw_time_grid(drawing);
    draw_water(drawing);
    draw_level(drawing);
    draw_speed(drawing);
    draw_heading(drawing.svg, edges, lanes_top,
                 "a lane for each pump, and the drive passing from lane to lane");
    draw_lanes(drawing.svg, data, pumps, drawing.time, lanes_top);
    draw_lane_keys(drawing);
    draw_abnormal(drawing, reported, strip_y);
    drawing.svg += R"(<path id="cursor" class="cursor" d=""/></svg></div>)";
    return std::move(drawing.svg);
}

std::string plots_json(const record::PlotData& data, const record::RunTitle& title) {
    std::string json;
    json += fmt::format(R"({{"begin_ms":{},"end_ms":{},"bucket_ms":{},)", data.begin_ms(),
                        std::max(data.end_ms(), data.begin_ms() + 1), data.bucket_ms());
    put_series(json, data, Series::rain, "rain mm/h");
    put_series(json, data, Series::inflow, "inflow m3/s");
    put_series(json, data, Series::inflow_observed, "observed m3/s");
    put_series(json, data, Series::pumped, "pumped m3/s");
    put_series(json, data, Series::level, "level m");
    put_series(json, data, Series::measured, "measured m");
    put_series(json, data, Series::speed_reference, "advised Hz");
    put_series(json, data, Series::drive_frequency, "drive Hz");
    put_series(json, data, Series::power, "power kW");
    json += "\"lanes\":[";
    for (std::size_t pump = 0; pump < title.settings.pump_count; ++pump) {
        json += pump == 0 ? "[" : ",[";
        const std::vector<record::LanePart>& lane = data.lane(pump);
        // The list of a chattering run ends here. The drawing still shows its lanes to the end.
        const std::size_t parts = std::min<std::size_t>(lane.size(), 4000);
        for (std::size_t i = 0; i < parts; ++i) {
            json += fmt::format(R"({}[{},"{}"])", i == 0 ? "" : ",", lane[i].from_ms,
                                words::word(lane[i].state).text);
        }
        json += ']';
    }
    return json += "]}";
}

}  // namespace freshet::report
