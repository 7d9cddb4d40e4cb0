// The drawing of a closing: see the header.
#include "sim_plant/studies/closing_plot.hpp"

#include <fmt/format.h>
#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

namespace freshet::studies {
namespace {

constexpr double width = 860, panel_height = 230, gap = 64, left = 80, right = 24, top = 56;
constexpr double plot_width = width - left - right;

struct Curve {
    std::vector<std::pair<double, double>> points;
    const char* stroke = "";
    const char* dashes = "";  // so that nothing is told by colour alone
    std::string name;
};

struct Axis {
    double low = 0, high = 1, tick = 1;
};

/// Round ends and ticks around some values.
Axis axis_over(double low, double high) {
    if (high - low < 1e-9) high = low + 1;
    const double raw = (high - low) / 6;
    const double power = std::pow(10, std::floor(std::log10(raw)));
    double tick = power;
    for (const double step : {2.0, 5.0, 10.0})
        if (tick < raw) tick = power * step;
    return {std::floor(low / tick) * tick, std::ceil(high / tick) * tick, tick};
}

std::string escaped(const std::string& text) {
    std::string out;
    for (const char c : text) {
        switch (c) {
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '&':
                out += "&amp;";
                break;
            default:
                out += c;
        }
    }
    return out;
}

void panel(std::string& out, double y, const std::string& heading, const std::string& unit_x,
           const std::vector<Curve>& curves) {
    double x_low = 1e300;
    double x_high = -1e300;
    double y_low = 0;
    double y_high = 0;
    for (const Curve& curve : curves) {
        for (const auto& [px, py] : curve.points) {
            x_low = std::min(x_low, px);
            x_high = std::max(x_high, px);
            y_low = std::min(y_low, py);
            y_high = std::max(y_high, py);
        }
    }
    const Axis across = axis_over(x_low, x_high);
    const Axis up = axis_over(y_low, y_high);
    const auto to_x = [&](double v) { return left + plot_width * (v - x_low) / (x_high - x_low); };
    const auto to_y = [&](double v) { return y + panel_height * (up.high - v) / (up.high - up.low); };
    auto into = std::back_inserter(out);
    fmt::format_to(into, "<text x='{}' y='{:.1f}' class='h'>{}</text>\n", left, y - 10, escaped(heading));
    const int rows = static_cast<int>(std::lround((up.high - up.low) / up.tick));
    for (int n = 0; n <= rows; ++n) {
        const double v = up.low + n * up.tick;
        fmt::format_to(into,
                       "<path d='M{} {:.1f}H{}' class='{}'/><text x='{}' y='{:.1f}' class='y'>{:g}</text>\n",
                       left, to_y(v), width - right, std::abs(v) < up.tick / 2 ? "zero" : "grid", left - 8,
                       to_y(v) + 4, std::abs(v) < up.tick / 2 ? 0 : v);
    }
    const double first = std::ceil(x_low / across.tick) * across.tick;
    const int columns = static_cast<int>(std::floor((x_high - first) / across.tick + 1e-6));
    for (int n = 0; n <= columns; ++n) {
        const double v = first + n * across.tick;
        fmt::format_to(
            into, "<path d='M{:.1f} {}V{}' class='grid'/><text x='{:.1f}' y='{}' class='x'>{:g}</text>\n",
            to_x(v), y, y + panel_height, to_x(v), y + panel_height + 18,
            std::abs(v) < across.tick / 2 ? 0 : v);
    }
    fmt::format_to(into, "<text x='{}' y='{}' class='u'>{}</text>\n", width - right, y + panel_height + 36,
                   unit_x);
    double label_x = left + plot_width;
    for (auto curve = curves.rbegin(); curve != curves.rend(); ++curve) {
        fmt::format_to(into,
                       "<polyline fill='none' stroke='{}' stroke-width='1.6' stroke-dasharray='{}' points='",
                       curve->stroke, curve->dashes);
        for (const auto& [px, py] : curve->points) fmt::format_to(into, "{:.1f},{:.1f} ", to_x(px), to_y(py));
        out += "'/>\n";
        fmt::format_to(into, "<text x='{}' y='{}' class='n' fill='{}'>{}</text>\n", label_x, y - 10,
                       curve->stroke, escaped(curve->name));
        label_x -= 8.0 * static_cast<double>(curve->name.size()) + 24;
    }
}

}  // namespace

std::string closing_svg(const std::string& title, const plant::ClosingResult& result,
                        const std::vector<plant::ClosingTracePoint>& trace,
                        const std::vector<SweepPoint>& sweep) {
    const double panels = (trace.empty() ? 0 : 2) + (sweep.empty() ? 0 : 2);
    const double height = top + panels * (panel_height + gap) + 24;
    std::string out = fmt::format(
        "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {0} {1}' width='{0}' height='{1}' role='img'>\n"
        "<title>{2}</title>\n"
        "<style>text{{font:13px "
        "sans-serif;fill:#333}}.h{{font-weight:bold}}.y{{text-anchor:end}}.x{{text-anchor:middle}}"
        ".u,.n{{text-anchor:end}}.n{{fill:currentColor}}.grid{{stroke:#ddd;fill:none}}.zero{{stroke:#888;"
        "fill:none}}</style>\n"
        "<rect width='{0}' height='{1}' fill='#f4f4f4'/>\n<text x='{3}' y='24' class='h'>{2}</text>\n",
        width, height, escaped(title), left);
    double y = top + 10;
    if (!trace.empty()) {
        constexpr double shown_s = 0.25;
        Curve current{{}, "#1f4e79", "", "phase current at the worst point on wave"};
        Curve torque{{}, "#7a3b00", "", "air-gap torque"};
        for (const plant::ClosingTracePoint& point : trace) {
            if (point.t_s > shown_s) break;
            current.points.emplace_back(1000 * point.t_s, point.current_a / result.steady_current_peak_a);
            torque.points.emplace_back(1000 * point.t_s, point.torque_nm / result.rated_torque_nm);
        }
        panel(out, y, "Current, per unit of the steady peak", "time after closing, ms", {current});
        y += panel_height + gap;
        panel(out, y, "Torque, per unit of rated", "time after closing, ms", {torque});
        y += panel_height + gap;
    }
    if (!sweep.empty()) {
        Curve current{{}, "#1f4e79", "", "worst phase peak"};
        Curve high{{}, "#7a3b00", "", "highest torque"};
        Curve low{{}, "#444444", "6 3", "lowest torque"};
        for (const SweepPoint& point : sweep) {
            current.points.emplace_back(point.angle_deg, point.result.peak_current_ratio);
            high.points.emplace_back(point.angle_deg,
                                     point.result.torque_max_nm / point.result.rated_torque_nm);
            low.points.emplace_back(point.angle_deg,
                                    point.result.torque_min_nm / point.result.rated_torque_nm);
        }
        panel(out, y, "Peak current, per unit of the steady peak", "angle, degrees", {current});
        y += panel_height + gap;
        panel(out, y, "Peak torques, per unit of rated", "angle, degrees", {high, low});
    }
    out += "</svg>\n";
    return out;
}

}  // namespace freshet::studies
