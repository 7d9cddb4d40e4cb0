// The report of a run: one page that needs no other file, says what it is, and hides nothing of the run.
// One reason to change: what a reader of a run must find on the page.
#include "controller/report/report.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <string>

#include "controller/record/run_record.hpp"
#include "tests/doubles/scratch_folder.hpp"
#include "tests/unit/record/invented_run.hpp"

namespace freshet::report {
namespace {

using doubles::bytes_of;
using doubles::ScratchFolder;
using record::invented::invented_station;
using record::invented::record_seconds;
using record::invented::summary_of_invented_station;

class Report : public ::testing::Test {
  protected:
    static std::string of_seconds(int seconds) {
        const ScratchFolder folder;
        auto record = record::RunRecord::open(folder.path(), invented_station(), report_html);
        record_seconds(*record, seconds);
        record->close(summary_of_invented_station());
        return bytes_of(folder / "report.html");
    }
};

TEST_F(Report, of_a_day_stays_below_two_megabytes) {
    constexpr int day_s = 86400;
    EXPECT_LT(of_seconds(day_s).size(), 2'000'000U);
}

TEST_F(Report, says_for_how_long_the_measured_value_was_in_doubt_and_why) {
    EXPECT_NE(of_seconds(60).find("2.5 s (stale 1.5 s)"), std::string::npos);
}

TEST_F(Report, loads_nothing_from_anywhere) {
    const std::string html = of_seconds(60);
    for (const char* reference :
         {"http:", "https:", "src=", "href=", "@import", "url(/", "url(h", "fetch("}) {
        EXPECT_EQ(html.find(reference), std::string::npos) << reference;
    }
}

TEST_F(Report, says_that_it_is_advisory_and_simulated_and_ends_with_the_cautions) {
    const std::string html = of_seconds(60);
    EXPECT_NE(html.find("Advisory only."), std::string::npos);
    EXPECT_NE(html.find("The station is simulated"), std::string::npos);
    std::size_t at = html.find("<h2>Cautions</h2>");
    ASSERT_NE(at, std::string::npos);
    EXPECT_NE(html.find("Medium-voltage equipment kills.", at), std::string::npos);
    EXPECT_NE(html.find("a licensed engineer.", at), std::string::npos);
}

TEST_F(Report, shows_the_name_of_a_station_as_text_and_not_as_markup) {
    const std::string html = of_seconds(60);
    EXPECT_EQ(html.find("<Station>"), std::string::npos);
    EXPECT_NE(html.find("Invented &lt;Station&gt; &amp; Sons"), std::string::npos);
}

TEST_F(Report, draws_a_lane_for_each_pump_and_hangs_the_rain) {
    const std::string html = of_seconds(1800);
    EXPECT_NE(html.find(">pump 3</text>"), std::string::npos);
    EXPECT_EQ(html.find(">pump 4</text>"), std::string::npos);
    EXPECT_NE(html.find("pump 1 on the drive"), std::string::npos);
    EXPECT_NE(html.find("class=\"rain\""), std::string::npos);
}

TEST_F(Report, carries_its_values_as_json_that_parses) {
    const std::string html = of_seconds(1800);
    const std::string opening = "id=\"plot-data\">";
    const std::size_t begin = html.find(opening) + opening.size();
    const auto json = nlohmann::json::parse(html.substr(begin, html.find("</script>", begin) - begin));
    EXPECT_EQ(json["lanes"].size(), 3U);
    EXPECT_EQ(json["level m"].size(), json["rain mm/h"].size());
}

TEST_F(Report, gives_each_closing_a_row_and_no_current_ratio_to_a_motor_from_rest) {
    record::RunSummary summary = summary_of_invented_station();
    summary.closings = {{.pump = 1, .line_side = true, .angle_deg = 3.1, .peak_current_ratio = 1.39},
                        {.pump = 2, .line_side = true, .from_rest = true}};
    summary.closing_count = 2;

    const std::string html = report_html(invented_station(), summary, {}, {});

    EXPECT_THAT(html, testing::HasSubstr("<td class=\"n\">3.1</td>"));
    EXPECT_THAT(html, testing::HasSubstr("<td class=\"n\">1.39</td>"));
    EXPECT_THAT(html, testing::HasSubstr("<td class=\"n\">from rest</td>"));
    EXPECT_THAT(html, testing::Not(testing::HasSubstr("<p>The first 2 of")));
}

TEST_F(Report, says_how_many_closings_it_leaves_out) {
    record::RunSummary summary = summary_of_invented_station();
    summary.closings = {{.pump = 1}, {.pump = 2}};
    summary.closing_count = 3;
    EXPECT_THAT(report_html(invented_station(), summary, {}, {}),
                testing::HasSubstr("<p>The first 2 of 3 closings.</p>"));
}

TEST_F(Report, of_a_run_without_a_single_row_still_has_figures_and_cautions) {
    const std::string html = report_html(invented_station(), summary_of_invented_station(), {}, {});
    EXPECT_EQ(html.find("<svg"), std::string::npos);
    EXPECT_NE(html.find("<h2>Figures</h2>"), std::string::npos);
    EXPECT_NE(html.find("<h2>Cautions</h2>"), std::string::npos);
}

}  // namespace
}  // namespace freshet::report
