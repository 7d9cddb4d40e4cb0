// The document of the witnesses, compared with its tables.
// One reason to change: what the document of the witnesses must show.
#include "controller/words/witness_document.hpp"

#include <gtest/gtest.h>

#include <string>

#include "controller/core/alarms.hpp"
#include "controller/words/alarms.hpp"
#include "controller/words/cautions.hpp"

namespace freshet::words {
namespace {

TEST(WitnessDocument, has_every_row_of_the_vote_in_order) {
    const std::string document = witnesses_markdown();
    std::size_t last = 0;
    for (const VoteWord& row : vote_rows) {
        const std::size_t place = document.find("\n| `" + std::string(row.name) + "` |");
        ASSERT_NE(place, std::string::npos) << row.name;
        EXPECT_GT(place, last) << row.name;
        last = place;
    }
}

TEST(WitnessDocument, has_every_contradiction_of_a_transmitter) {
    const std::string document = witnesses_markdown();
    for (const auto& row : contradiction_rows) {
        if (row.code == core::Contradiction::none) continue;
        EXPECT_NE(document.find("\n| `" + std::string(row.name) + "` | " + std::string(row.text)),
                  std::string::npos)
            << row.name;
    }
}

TEST(WitnessDocument, names_an_alarm_of_high_priority_for_each_contradiction) {
    for (const core::VoteRow& row : core::votes) {
        if (!row.contradiction) continue;
        const auto alarm = code_of(station_alarms, vote_rows[static_cast<std::size_t>(row.code)].alarm);
        ASSERT_TRUE(alarm) << static_cast<int>(row.code);
        EXPECT_EQ(core::station_alarm_rules[static_cast<std::size_t>(*alarm)].priority,
                  core::AlarmPriority::high);
    }
}

TEST(WitnessDocument, shows_the_caution_once) {
    const std::string document = witnesses_markdown();
    const std::size_t first = document.find(caution_line);
    ASSERT_NE(first, std::string::npos);
    EXPECT_EQ(document.find(caution_line, first + 1), std::string::npos);
}

}  // namespace
}  // namespace freshet::words
