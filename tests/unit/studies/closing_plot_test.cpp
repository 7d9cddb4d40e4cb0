// The drawing of a closing: its limits and keys, and no colour of its own.
// One reason to change: what a reader of the drawing must find.
#include "sim_plant/studies/closing_plot.hpp"

#include <gtest/gtest.h>

#include <string>
#include <utility>

#include "config/loader/load.hpp"

namespace freshet::studies {
namespace {

std::string drawn(bool swept, bool of_station, double angle_deg = 0) {
    const auto station =
        config::load_station_file(std::string(FRESHET_SOURCE_DIR) + "/config/stations/demo.toml");
    ClosingStudy study = study_closing(station.value().station.motor, {.angle_deg = angle_deg}, swept);
    if (of_station) study.sync_angle_max_deg = station->settings.sync.angle_max_deg;
    return closing_svg(study);
}

bool shows(const std::string& svg, const std::string& piece) {
    return svg.find(piece) != std::string::npos;
}

TEST(ClosingPlot, draws_the_limit_of_the_resultant_and_of_the_sync_check_with_a_key_each) {
    const std::string svg = drawn(true, true);
    // Across the whole plot, not the short piece of the key.
    EXPECT_TRUE(shows(svg, "H735.0\" class=\"mark limit\"")) << svg;
    EXPECT_TRUE(shows(svg, ">limit 1.33, ANSI/NEMA C50.41</text>"));
    EXPECT_TRUE(shows(svg, ">sync check, up to 10 degrees</text>"));
    EXPECT_TRUE(shows(svg, ">lowest torque</text>"));
}

TEST(ClosingPlot, of_a_motor_without_a_station_has_no_sync_check) {
    EXPECT_FALSE(shows(drawn(true, false), "sync check"));
}

TEST(ClosingPlot, without_a_sweep_leaves_out_the_plots_over_the_angle) {
    EXPECT_FALSE(shows(drawn(false, true), "angle at the closing, degrees"));
}

TEST(ClosingPlot, has_no_text_that_ends_beyond_the_right_edge_of_the_picture) {
    const std::string svg = drawn(true, true, 180);                          // the longest verdict
    constexpr std::size_t picture_px = 1000, margin_px = 72, letter_px = 7;  // a wide font at 12 px
    std::size_t read = 0;
    for (std::size_t at = svg.find("class=\"label\">"); at != std::string::npos;
         at = svg.find("class=\"label\">", at + 1)) {
        const std::size_t begin = svg.find('>', at) + 1;
        const std::string text = svg.substr(begin, svg.find('<', begin) - begin);
        EXPECT_LE(margin_px + letter_px * text.size(), picture_px) << text;
        ++read;
    }
    EXPECT_GE(read, 2U) << "the verdict or the caution is missing";
}

TEST(ClosingPlot, loads_nothing_from_anywhere) {
    const std::string svg = drawn(true, true);
    for (const char* reference : {"href=", "src=", "@import", "url("})
        EXPECT_FALSE(shows(svg, reference)) << reference;
}

}  // namespace
}  // namespace freshet::studies
