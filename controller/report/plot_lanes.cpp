// Shape, height and hatching distinguish the states. Colour only emphasises the abnormal states.
#include "controller/report/plot_lanes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <string_view>
#include <vector>

#include "controller/words/states.hpp"

namespace freshet::report {

const char* const lane_patterns =
    R"svg(<defs><pattern id="transfer" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">)svg"
    R"(<rect width="6" height="6" class="lane-drive-ground"/><line x1="0" y1="0" x2="0" y2="6" class="hatch"/></pattern>)"
    R"(<pattern id="locked" width="8" height="8" patternUnits="userSpaceOnUse"><path d="M0 0L8 8M8 0L0 8" class="cross"/>)"
    R"(</pattern></defs>)";

namespace {

/// The look of a state: the height of its bar as a part of the lane, and the class of its style. The height 0
/// gives a line.
struct LaneStyle {
    double height;
    std::string_view style;
};

constexpr LaneStyle style_of(core::PumpState state) {
    switch (state) {
        case core::PumpState::off:
            return {0, "lane-off"};
        case core::PumpState::starting:
        case core::PumpState::stopping:
            return {0.3, "lane-moving"};
        case core::PumpState::on_drive:
            return {0.6, "lane-drive"};
        case core::PumpState::to_line:
        case core::PumpState::to_drive:
            return {0.6, "lane-transfer"};
        case core::PumpState::on_line:
            return {0.6, "lane-line"};
        case core::PumpState::locked_out:
            return {0.6, "lane-locked"};
        case core::PumpState::unavailable:
            return {0, "lane-unavailable"};
    }
    return {0, "lane-off"};
}

/// True when a pump has the drive in a part of its lane. A stop from the line and a line start do not use the
/// drive.
bool holds_drive(const std::vector<record::LanePart>& lane, std::size_t part) {
    using enum core::PumpState;
    const bool from_line = part > 0 && lane[part - 1].state == on_line;
    const bool onto_line = part + 1 < lane.size() && lane[part + 1].state == on_line;
    switch (lane[part].state) {
        case on_drive:
        case to_line:
        case to_drive:
            return true;
        case starting:
            return !onto_line;
        case stopping:
            return !from_line;
        default:
            return false;
    }
}

/// A time during which one pump had the drive.
struct Holding {
    std::int64_t from_ms, to_ms;
    std::size_t pump;
};

double centre(double top, std::size_t pump) {
    return top + lane_pitch * (static_cast<double>(pump) + 0.5);
}

void draw_part(std::string& svg, const LaneStyle& style, std::string_view tip, double left, double right,
               double y) {
    if (style.height == 0) {
        fmt::format_to(std::back_inserter(svg), R"(<path d="M{:.1f} {:.1f}H{:.1f}" class="{}"/>)", left, y,
                       right, style.style);
        return;
    }
    const double height = lane_pitch * style.height;
    fmt::format_to(
        std::back_inserter(svg),
        R"(<rect x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" class="{}"><title>{}</title></rect>)",
        left, y - height / 2, right - left, height, style.style, tip);
}

void draw_lane(std::string& svg, const std::vector<record::LanePart>& lane, const TimeAxis& time,
               std::size_t pump, double y, std::vector<Holding>& holdings) {
    constexpr double narrowest =
        0.4;  // a narrower bar is not visible, and a chattering run would make the report too long
    double drawn_to = time.left;
    for (std::size_t i = 0; i < lane.size(); ++i) {
        const std::int64_t to_ms = i + 1 < lane.size() ? lane[i + 1].from_ms : time.end_ms;
        if (holds_drive(lane, i)) holdings.push_back({lane[i].from_ms, to_ms, pump});
        const double left = std::max(time.x(lane[i].from_ms), time.left);
        const double right = std::max(time.x(to_ms), left + narrowest);
        if (right - drawn_to < narrowest && i != 0) continue;
        const std::string tip = fmt::format("pump {} {}", pump + 1, words::word(lane[i].state).text);
        draw_part(svg, style_of(lane[i].state), tip, left, std::min(right, time.right), y);
        drawn_to = right;
    }
}

/// Draws the way of the drive as a thin line. The line goes from the lane that gave up the drive to the lane
/// that took the drive next.
void draw_baton(std::string& svg, std::vector<Holding>& holdings, const TimeAxis& time, double top) {
    std::sort(holdings.begin(), holdings.end(),
              [](const Holding& a, const Holding& b) { return a.from_ms < b.from_ms; });
    std::string path;
    for (std::size_t i = 1; i < holdings.size(); ++i) {
        const Holding& gave = holdings[i - 1];
        const Holding& took = holdings[i];
        if (gave.pump == took.pump) continue;
        fmt::format_to(std::back_inserter(path), "M{:.1f} {:.1f}L{:.1f} {:.1f}", time.x(gave.to_ms),
                       centre(top, gave.pump), time.x(took.from_ms), centre(top, took.pump));
    }
    if (!path.empty()) fmt::format_to(std::back_inserter(svg), R"(<path d="{}" class="baton"/>)", path);
}

}  // namespace

void draw_lanes(std::string& svg, const record::PlotData& data, std::uint8_t pump_count, const TimeAxis& time,
                double top) {
    std::vector<Holding> holdings;
    for (std::size_t pump = 0; pump < pump_count; ++pump) {
        const double y = centre(top, pump);
        fmt::format_to(std::back_inserter(svg),
                       R"(<text x="{:.1f}" y="{:.1f}" class="label end">pump {}</text>)", time.left - 8,
                       y + 4, pump + 1);
        draw_lane(svg, data.lane(pump), time, pump, y, holdings);
    }
    draw_baton(svg, holdings, time, top);
}

}  // namespace freshet::report
