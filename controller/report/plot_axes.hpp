// The frame of every drawing: headings, value ticks, upright ticks, keys, and the style of lines.
// One reason to change: how axes, keys and kinds of lines look.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "controller/report/plot_frame.hpp"

namespace freshet::report {

/// Left and right edge of a plot, in SVG user units. Keys are to the right of the right edge.
struct PlotEdges {
    double left = 0, right = 1;
};

/// Draws a heading above a plot. `y` is the top of the plot.
void draw_heading(std::string& svg, PlotEdges edges, double y, std::string_view text);

/// Draws a level line and its figure at each round value.
void draw_value_ticks(std::string& svg, PlotEdges edges, const ValueAxis& axis, std::size_t ticks_max);

/// Draws an upright line from `top` to `bottom` and its label below the line.
void draw_upright_tick(std::string& svg, double x, double top, double bottom, std::string_view label);

/// Draws a piece of a line of class `style` and the name of the line in the right margin.
void draw_key(std::string& svg, PlotEdges edges, double y, std::string_view style, std::string_view text);

/// Style sheet for the classes of text, grids, curves and limits. The style sheet uses greys and dashes. Only
/// abnormal states have a colour.
extern const char* const plot_style;

}  // namespace freshet::report
