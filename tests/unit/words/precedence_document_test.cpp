// The document of the order of precedence, compared with its table.
// One reason to change: what the document of the precedence must show.
#include "controller/words/precedence_document.hpp"

#include <gtest/gtest.h>

#include <string>

#include "controller/words/cautions.hpp"
#include "controller/words/states.hpp"

namespace freshet::words {
namespace {

TEST(PrecedenceDocument, has_the_rows_in_their_order_worst_first) {
    const std::string document = precedence_markdown();
    std::size_t last = 0;
    for (const PrecedenceWord& row : precedence_rows) {
        const std::size_t place = document.find("\n| " + std::string(row.name) + " |");
        ASSERT_NE(place, std::string::npos) << row.name;
        EXPECT_GT(place, last) << row.name;
        last = place;
    }
}

TEST(PrecedenceDocument, says_of_each_ground_whether_the_ground_gives_way) {
    const std::string document = precedence_markdown();
    for (const core::PrecedenceRow& one : core::precedence) {
        if (one.ground == core::Permissive::none) continue;
        const std::string begin = "\n| `" + std::string(word(one.ground).name) + "` |";
        const std::size_t place = document.find(begin);
        ASSERT_NE(place, std::string::npos) << begin;
        const std::string line = document.substr(place + 1, document.find('\n', place + 1) - place - 1);
        const bool says_yes = line.ends_with("| yes |");
        EXPECT_EQ(says_yes, core::yields_to_water(one.ground)) << line;
    }
}

TEST(PrecedenceDocument, shows_the_caution_once) {
    const std::string document = precedence_markdown();
    const std::size_t first = document.find(caution_line);
    ASSERT_NE(first, std::string::npos);
    EXPECT_EQ(document.find(caution_line, first + 1), std::string::npos);
}

}  // namespace
}  // namespace freshet::words
