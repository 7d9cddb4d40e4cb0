// Writes SVG elements. The style sheet below gives the look of the elements. Contrast of text is at least 4.5
// to 1 (WCAG 2.1, 1.4.3).
#include "controller/report/plot_axes.hpp"

#include <fmt/format.h>

#include <cmath>

namespace freshet::report {

const char* const plot_style = R"css(
svg text{font:12px system-ui,sans-serif;fill:#3b4147}
svg .heading{font-weight:600;fill:#24282c}svg .end{text-anchor:end}svg .middle{text-anchor:middle}
svg path{fill:none}
.grid{stroke:#d3d6d8;stroke-width:1}
.inflow{stroke:#24282c;stroke-width:1.6}.observed{stroke:#5f676e;stroke-width:1.2;stroke-dasharray:5 3}
.level{stroke:#24282c;stroke-width:1.6}.measured{stroke:#8d959c;stroke-width:1.2}
.mark{stroke:#5f676e;stroke-dasharray:2 4}.limit{stroke-dasharray:8 3;stroke-width:1.4}
)css";

void draw_heading(std::string& svg, PlotEdges edges, double y, std::string_view text) {
    svg += fmt::format(R"(<text x="{:.1f}" y="{:.1f}" class="heading">{}</text>)", edges.left, y - 8, text);
}

void draw_value_ticks(std::string& svg, PlotEdges edges, const ValueAxis& axis, std::size_t ticks_max) {
    for (const double tick : axis.ticks(ticks_max)) {
        const double y = axis.y(tick);
        svg += fmt::format(R"(<path d="M{:.1f} {:.1f}H{:.1f}" class="grid"/>)", edges.left, y, edges.right);
        svg += fmt::format(R"(<text x="{:.1f}" y="{:.1f}" class="label end">{:.6g}</text>)", edges.left - 6,
                           y + 4, std::fabs(tick) < 1e-9 ? 0.0 : tick);
    }
}

void draw_upright_tick(std::string& svg, double x, double top, double bottom, std::string_view label) {
    svg += fmt::format(R"(<path d="M{:.1f} {:.1f}V{:.1f}" class="grid"/>)", x, top, bottom);
    svg +=
        fmt::format(R"(<text x="{:.1f}" y="{:.1f}" class="label middle">{}</text>)", x, bottom + 16, label);
}

void draw_key(std::string& svg, PlotEdges edges, double y, std::string_view style, std::string_view text) {
    svg += fmt::format(
        R"(<path d="M{:.1f} {:.1f}h20" class="{}"/><text x="{:.1f}" y="{:.1f}" class="label">{}</text>)",
        edges.right + 8, y, style, edges.right + 32, y + 4, text);
}

}  // namespace freshet::report
