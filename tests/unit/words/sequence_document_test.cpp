// The documents of the sequences, held against the table they come from.
// One reason to change: what a sequence document must show.
#include "controller/words/sequence_document.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "controller/core/sequences.hpp"
#include "controller/words/sequences.hpp"

namespace freshet::words {
namespace {

std::size_t count_of(const std::string& text, const std::string& piece) {
    std::size_t count = 0;
    for (std::size_t at = text.find(piece); at != std::string::npos; at = text.find(piece, at + piece.size()))
        ++count;
    return count;
}

TEST(SequenceDocument, has_each_step_of_the_table_once_and_no_other) {
    const std::string document = sequences_markdown();
    EXPECT_EQ(count_of(document, "\n| X"), core::tables::rows.size());
    for (const core::StepRow& row : core::tables::rows) {
        const std::string own = "\n| X" + std::to_string(static_cast<int>(row.step)) + " `" +
                                std::string(word(row.step).name) + "` |";
        EXPECT_EQ(count_of(document, own), 1U) << own;
    }
}

TEST(SequenceDocument, shows_for_each_step_what_is_waited_for_and_the_time_out) {
    const std::string document = sequences_markdown();
    for (const core::StepRow& row : core::tables::rows) {
        const std::string time_out = "/X" + std::to_string(static_cast<int>(row.step));
        EXPECT_EQ(count_of(document, time_out + " (alarm:") + count_of(document, time_out + " ->"), 1U)
            << time_out;
    }
}

TEST(SequenceDocument, leads_a_time_out_where_the_table_leads_it) {
    const core::StepRow& row = core::row_of(core::Step::over_open_output);
    const std::string document = sequences_markdown();
    const std::size_t begin = document.find("`over_open_output`");
    const std::string line = document.substr(begin, document.find('\n', begin) - begin);
    const std::string target = "-> X" + std::to_string(static_cast<int>(row.on_time_out.step));
    EXPECT_NE(line.find("drive output contactor does not open) " + target), std::string::npos) << line;
}

TEST(SequenceDocument, shows_the_cautions) {
    EXPECT_NE(sequences_markdown().find("never a permission to operate"), std::string::npos);
}

TEST(SequenceChart, draws_a_bar_for_each_transition_between_two_places) {
    const std::string chart = sequences_dot();
    EXPECT_EQ(count_of(chart, "fillcolor=black"), count_of(chart, "arrowhead=none"));
    EXPECT_EQ(count_of(chart, "fillcolor=black"), count_of(chart, "arrowhead=normal"));
    EXPECT_GE(count_of(chart, "fillcolor=black"), 2 * core::tables::rows.size());
}

TEST(SequenceChart, has_an_initial_step_with_a_double_border_in_each_sequence) {
    EXPECT_EQ(count_of(sequences_dot(), "peripheries=2"), sequences.size() - 1);
}

TEST(SequenceChart, opens_as_many_braces_as_it_closes) {
    const std::string chart = sequences_dot();
    EXPECT_EQ(std::count(chart.begin(), chart.end(), '{'), std::count(chart.begin(), chart.end(), '}'));
}

}  // namespace
}  // namespace freshet::words
