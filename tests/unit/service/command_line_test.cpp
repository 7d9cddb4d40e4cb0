// The messages about mistakes on a command line.
#include "hal/service/command_line.hpp"

#include <gtest/gtest.h>

#include <cstdint>
#include <string>
#include <vector>

#include <CLI/CLI.hpp>

#include "hal/service/exit_code.hpp"

namespace freshet::service {
namespace {

/// A program with a file, a number and a flag.
struct Answer {
    explicit Answer(std::vector<std::string> words) {
        CLI::App app("counts", "freshet count");
        app.add_option("FILE", file, "what is counted")->required();
        app.add_option("--limit", limit, "no more than that");
        app.add_flag("--json", json, "for programs");
        words.insert(words.begin(), "count");
        std::vector<char*> arguments;
        for (std::string& word : words) arguments.push_back(word.data());
        testing::internal::CaptureStderr();
        testing::internal::CaptureStdout();
        code = read_command_line(app, static_cast<int>(arguments.size()), arguments.data());
        out = testing::internal::GetCapturedStdout();
        text = testing::internal::GetCapturedStderr();
    }
    std::string file, text, out;
    std::uint32_t limit = 0;
    bool json = false;
    std::optional<int> code;
};

const std::string help = "; `freshet count --help` lists the options\n";

TEST(CommandLine, without_a_mistake_lets_the_program_go_on) {
    const Answer answer({"a", "--limit", "3", "--json"});
    EXPECT_FALSE(answer.code.has_value());
    EXPECT_EQ(answer.file, "a");
    EXPECT_EQ(answer.limit, 3U);
    EXPECT_TRUE(answer.json);
}
TEST(CommandLine, for_help_is_answered_on_standard_output_and_is_good) {
    const Answer answer({"--help"});
    EXPECT_EQ(answer.code, exit_good);
    EXPECT_EQ(answer.text, "");
    EXPECT_NE(answer.out.find("--limit"), std::string::npos);
}
TEST(CommandLine, ends_its_help_with_the_caution) {
    EXPECT_TRUE(Answer({"--help"}).out.ends_with("and a licensed engineer.\n"));
}
TEST(CommandLine, with_an_unknown_option_names_the_nearest_option_before_anything_that_is_missing) {
    const Answer answer({"--limt=3"});
    EXPECT_EQ(answer.code, exit_bad_input);
    EXPECT_EQ(answer.text,
              "freshet count: there is no option \"--limt\"; nearest known option \"--limit\"" + help);
    EXPECT_EQ(Answer({"a", "--bogus"}).text, "freshet count: there is no option \"--bogus\"" + help);
}
TEST(CommandLine, that_lacks_an_argument_names_the_argument) {
    EXPECT_EQ(Answer({}).text, "freshet count: FILE is required (what is counted)" + help);
    EXPECT_EQ(Answer({"a", "--limit"}).text,
              "freshet count: --limit has no value; expected a value (no more than that)" + help);
}
TEST(CommandLine, with_an_unreadable_value_says_what_was_expected) {
    EXPECT_EQ(Answer({"a", "--limit", "-1"}).text,
              "freshet count: --limit: \"-1\" cannot be read; expected a whole number from 0" + help);
}
TEST(CommandLine, with_an_unexpected_word_names_the_word) {
    EXPECT_EQ(Answer({"a", "b"}).text, "freshet count: \"b\" is an unexpected argument" + help);
}

}  // namespace
}  // namespace freshet::service
