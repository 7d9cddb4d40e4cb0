// Draws the plots one under the other, with the axes, keys and greys of a run's report.
#include "sim_plant/studies/closing_plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <limits>
#include <string_view>
#include <utility>
#include <vector>

#include "controller/report/markup.hpp"
#include "controller/report/plot_axes.hpp"
#include "controller/report/plot_frame.hpp"
#include "controller/words/cautions.hpp"

namespace freshet::studies {
namespace {

using report::escaped;
using report::ValueAxis;

constexpr double width = 1000, first_top = 96, plot_height = 170, pitch = 248;
constexpr report::PlotEdges edges{72, 735};
constexpr double shown_ms = 250, ms_per_s = 1000;
constexpr const char* first_line = "level";      // dark, unbroken
constexpr const char* second_line = "observed";  // grey, dashed

template <class... Values>
void put(std::string& svg, fmt::format_string<Values...> format, Values&&... values) {
    fmt::format_to(std::back_inserter(svg), format, std::forward<Values>(values)...);
}

struct Curve {
    std::vector<std::pair<double, double>> points;
    const char* style = first_line;
    std::string name;
};

/// A limit in a plot: a level of the values, or an angle.
struct Limit {
    enum class Along : std::uint8_t { values, angles } along;
    double at = 0;
    std::string name;
};

struct Plot {
    std::string heading, across;  ///< `across`: the text of the horizontal axis
    std::vector<Curve> curves;
    std::vector<Limit> limits;
};

/// The axes of a plot in the drawing units of the document: values, and times or angles.
struct Axes {
    ValueAxis across, up;
    double x(double value) const { return across.y(value); }
    double y(double value) const { return up.y(value); }
};

Axes axes_of(const Plot& plot, double top) {
    double left = std::numeric_limits<double>::infinity(), right = -left, low = 0, high = 0;
    for (const Curve& curve : plot.curves) {
        for (const auto& [x, y] : curve.points) {
            left = std::min(left, x);
            right = std::max(right, x);
            low = std::min(low, y);
            high = std::max(high, y);
        }
    }
    for (const Limit& limit : plot.limits)
        if (limit.along == Limit::Along::values) high = std::max(high, limit.at);
    return {{left, right, edges.left, edges.right}, report::rounded_axis(low, high, top + plot_height, top)};
}

void draw_curves(std::string& svg, const Plot& plot, const Axes& axes) {
    for (const Curve& curve : plot.curves) {
        std::string path;
        for (const auto& [x, y] : curve.points)
            put(path, "{}{:.1f} {:.1f}", path.empty() ? 'M' : 'L', axes.x(x), axes.y(y));
        put(svg, R"(<path d="{}" class="{}"/>)", path, curve.style);
    }
}

void draw_limits(std::string& svg, const Plot& plot, const Axes& axes, double top) {
    for (const Limit& limit : plot.limits) {
        if (limit.along == Limit::Along::values)
            put(svg, R"(<path d="M{:.1f} {:.1f}H{:.1f}" class="mark limit"/>)", edges.left, axes.y(limit.at),
                edges.right);
        else
            put(svg, R"(<path d="M{:.1f} {:.1f}V{:.1f}" class="mark"/>)", axes.x(limit.at), top,
                top + plot_height);
    }
}

void draw_keys(std::string& svg, const Plot& plot, double top) {
    double y = top + 12;
    const auto key = [&](std::string_view style, const std::string& name) {
        report::draw_key(svg, edges, y, style, escaped(name));
        y += 18;
    };
    for (const Curve& curve : plot.curves) key(curve.style, curve.name);
    for (const Limit& limit : plot.limits)
        key(limit.along == Limit::Along::values ? "mark limit" : "mark", limit.name);
}

void draw_plot(std::string& svg, const Plot& plot, double top) {
    const Axes axes = axes_of(plot, top);
    const double bottom = top + plot_height;
    report::draw_heading(svg, edges, top, escaped(plot.heading));
    report::draw_value_ticks(svg, edges, axes.up, 6);
    for (const double tick : axes.across.ticks(12))
        report::draw_upright_tick(svg, axes.x(tick), top, bottom, fmt::format("{:g}", tick));
    put(svg, R"(<text x="{:.1f}" y="{:.1f}" class="label end">{}</text>)", edges.right, bottom + 34,
        escaped(plot.across));
    draw_limits(svg, plot, axes, top);
    draw_curves(svg, plot, axes);
    draw_keys(svg, plot, top);
    svg += '\n';
}

std::vector<Plot> plots_over_time(const ClosingStudy& study) {
    Curve current{{}, first_line, "phase current"};
    Curve torque{{}, first_line, "air-gap torque"};
    for (const plant::ClosingTracePoint& point : study.trace) {
        const double t_ms = ms_per_s * point.t_s;
        if (t_ms > shown_ms) break;
        current.points.emplace_back(t_ms, point.current_a / study.result.steady_current_peak_a);
        torque.points.emplace_back(t_ms, point.torque_nm / study.result.rated_torque_nm);
    }
    const char* const across = "time after the closing, ms";
    return {{"current at the worst point on wave, per unit of the steady peak", across, {current}, {}},
            {"torque, per unit of rated", across, {torque}, {}}};
}

std::vector<Plot> plots_over_angle(const ClosingStudy& study) {
    Curve current{{}, first_line, "worst phase peak"};
    Curve high{{}, first_line, "highest torque"};
    Curve low{{}, second_line, "lowest torque"};
    Curve resultant{{}, first_line, "resultant"};
    for (const auto& [angle_deg, result] : study.sweep) {
        current.points.emplace_back(angle_deg, result.peak_current_ratio);
        high.points.emplace_back(angle_deg, result.torque_max_nm / result.rated_torque_nm);
        low.points.emplace_back(angle_deg, result.torque_min_nm / result.rated_torque_nm);
        resultant.points.emplace_back(angle_deg, result.resultant_v_per_hz_pu);
    }
    std::vector<Limit> limits;
    if (study.sync_angle_max_deg)
        limits.push_back({Limit::Along::angles, *study.sync_angle_max_deg,
                          fmt::format("sync check, up to {:g} degrees", *study.sync_angle_max_deg)});
    std::vector<Limit> of_resultant{{Limit::Along::values, plant::resultant_limit_pu,
                                     fmt::format("limit {:g}, ANSI/NEMA C50.41", plant::resultant_limit_pu)}};
    of_resultant.insert(of_resultant.end(), limits.begin(), limits.end());
    const char* const across = "angle at the closing, degrees";
    return {{"peak current, per unit of the steady peak", across, {current}, limits},
            {"peak torques, per unit of rated", across, {high, low}, limits},
            {"resultant volts per hertz, per unit", across, {resultant}, of_resultant}};
}

}  // namespace

std::string closing_svg(const ClosingStudy& study) {
    std::vector<Plot> plots;
    if (!study.trace.empty()) plots = plots_over_time(study);
    if (!study.sweep.empty()) std::ranges::move(plots_over_angle(study), std::back_inserter(plots));
    // The verdict has a line for the limit, and a line for torque and current.
    const std::string verdict = verdict_of(study.result);
    const std::size_t last_part = verdict.rfind("; ");
    const double foot = first_top + pitch * static_cast<double>(plots.size());
    const std::string title =
        escaped(fmt::format("{}, closing at {:g} degrees", study.motor.name, study.closing.angle_deg));
    std::string svg;
    put(svg,
        R"(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {0} {1}" width="{0}" height="{1}" role="img">)"
        "\n<title>{2}</title>\n<style>{3}</style>\n"
        R"(<rect width="{0}" height="{1}" fill="#f1f2f2"/><text x="{4}" y="28" class="heading">{2}</text>)"
        R"(<text x="{4}" y="46" class="label">{5}</text><text x="{4}" y="61" class="label">{6}</text>)"
        "\n",
        width, foot, title, report::plot_style, edges.left, escaped(verdict.substr(0, last_part)),
        escaped(verdict.substr(last_part + 2)));
    double top = first_top;
    for (const Plot& plot : plots) {
        draw_plot(svg, plot, top);
        top += pitch;
    }
    put(svg, R"(<text x="{}" y="{}" class="label">{}</text>)", edges.left, foot - 14,
        escaped(words::caution_line));
    return svg += "</svg>\n";
}

}  // namespace freshet::studies
