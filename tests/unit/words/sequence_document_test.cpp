// The documents of the sequences, compared with their table.
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

TEST(SequenceDocument, shows_the_condition_and_the_time_out_of_each_step) {
    const std::string document = sequences_markdown();
    for (const core::StepRow& row : core::tables::rows) {
        const std::string time_out = "/X" + std::to_string(static_cast<int>(row.step));
        EXPECT_EQ(count_of(document, time_out + " (alarm:") + count_of(document, time_out + " ->"), 1U)
            << time_out;
    }
}

TEST(SequenceDocument, leads_a_time_out_to_the_step_of_the_table) {
    const core::StepRow& row = core::row_of(core::Step::over_open_output);
    const std::string document = sequences_markdown();
    const std::size_t begin = document.find("`over_open_output`");
    const std::string line = document.substr(begin, document.find('\n', begin) - begin);
    const std::string target = "-> X" + std::to_string(static_cast<int>(row.on_time_out.step));
    EXPECT_NE(line.find("drive output contactor does not open) " + target), std::string::npos) << line;
}

TEST(SequenceDocument, says_that_a_contact_which_is_not_read_locks_nothing_out_and_alarms_nothing) {
    const std::string document = sequences_markdown();
    std::size_t locking = 0;
    for (const core::StepRow& row : core::tables::rows)
        if (row.on_time_out == core::end(core::PumpState::locked_out)) ++locking;
    EXPECT_EQ(count_of(document, "X0, pump locked out (off when the contact is not read)"), locking);
    EXPECT_EQ(count_of(document, "pump locked out"), locking);
    EXPECT_NE(document.find("only if the awaited signal was read within the step"), std::string::npos);
}

std::string row_text(const std::string& document, core::Step step) {
    const std::size_t begin = document.find("`" + std::string(word(step).name) + "`");
    return document.substr(begin, document.find('\n', begin) - begin);
}

TEST(SequenceDocument, shows_every_reaction_of_every_step) {
    const std::string document = sequences_markdown();
    for (const core::StepRow& row : core::tables::rows) {
        const std::string line = row_text(document, row.step);
        const auto shows = [&](const char* ground, const core::Way& way, bool judged) {
            const bool there = line.find(ground) != std::string::npos;
            EXPECT_EQ(there, judged && way.step != row.step) << ground << " in " << line;
        };
        shows("drive lost", row.on_drive_lost, true);
        shows("pump lost", row.on_pump_lost, true);
        shows("drive bus joined to the line", row.on_bus_joined_to_line, true);
        shows("sync lost", row.on_sync_lost, row.needs_sync);
    }
}

TEST(SequenceDocument, says_of_each_sequence_how_often_it_is_tried_again) {
    const std::string document = sequences_markdown();
    for (const core::RetryRow& retry : core::tables::retries) {
        if (retry.sequence == core::Sequence::none) continue;
        std::string heading = "\n## " + std::string(word(retry.sequence).text);
        heading[4] = static_cast<char>(heading[4] - 'a' + 'A');
        const std::size_t begin = document.find(heading);
        ASSERT_NE(begin, std::string::npos) << heading;
        const std::string chapter = document.substr(begin, document.find("\n## ", begin + 1) - begin);
        EXPECT_EQ(chapter.find("against the pump") != std::string::npos, retry.counts_pump) << chapter;
        EXPECT_EQ(chapter.find("against the drive") != std::string::npos, retry.counts_drive) << chapter;
        EXPECT_EQ(chapter.find("while staging wants the transfer") != std::string::npos,
                  retry.counts_transfer)
            << chapter;
    }
}

TEST(SequenceDocument, does_not_say_that_a_line_start_or_a_stop_from_line_stops_the_drive) {
    for (const core::Step step :
         {core::Step::line_stop_open, core::Step::line_start_close, core::Step::line_start_withdraw}) {
        const std::string line = row_text(sequences_markdown(), step);
        EXPECT_EQ(line.find("drive stopped"), std::string::npos) << line;
        EXPECT_NE(line.find("drive unchanged"), std::string::npos) << line;
    }
}

TEST(SequenceDocument, shows_the_cautions) {
    EXPECT_NE(sequences_markdown().find("never a permission to operate"), std::string::npos);
}

TEST(SequenceChart, draws_a_bar_for_each_transition_between_two_places) {
    const std::string chart = sequences_dot();
    EXPECT_EQ(count_of(chart, "bgcolor=\"black\""), count_of(chart, "arrowhead=none"));
    EXPECT_EQ(count_of(chart, "bgcolor=\"black\""), count_of(chart, "arrowhead=normal"));
    EXPECT_GE(count_of(chart, "bgcolor=\"black\""), 2 * core::tables::rows.size());
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
