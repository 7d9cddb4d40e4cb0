// The reader of sources under the house tests: blanked text is not judged, kept text is judged.
// One reason to change: how files are read.
#include "tests/house/tree.hpp"

#include <gtest/gtest.h>

namespace freshet::house {
namespace {

TEST(CodeOf, blanks_comments_and_the_contents_of_literals) {
    EXPECT_EQ(code_of("a; // new\nb"), "a;       \nb");
    EXPECT_EQ(code_of("a /* new */ b"), "a           b");
    EXPECT_EQ(code_of("f(\"new\")"), "f(\"   \")");
    EXPECT_EQ(code_of("f(\"\\\"new\")x"), "f(\"     \")x");
}

TEST(CodeOf, keeps_code_after_a_digit_separator_or_a_letter) {
    EXPECT_EQ(code_of("1'000; new"), "1'000; new");
    EXPECT_EQ(code_of("c == '\"'; new"), "c == ' '; new");
}

TEST(CodeOf, blanks_a_raw_literal_to_its_own_end) {
    EXPECT_EQ(code_of("R\"x(new)\" )x\"; new").substr(13), "; new");
}

TEST(IncludesOf, finds_both_forms_and_nothing_in_comments) {
    const auto includes =
        includes_of("#include <array>\n  # include \"config/station.hpp\"\n// #include <map>\n");
    EXPECT_EQ(includes, (std::vector<std::string>{"<array>", "\"config/station.hpp\""}));
}

}  // namespace
}  // namespace freshet::house
