// How the mistakes of a command line are told.
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
struct Told {
    explicit Told(std::vector<std::string> words) {
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
    const Told told({"a", "--limit", "3", "--json"});
    EXPECT_FALSE(told.code.has_value());
    EXPECT_EQ(told.file, "a");
    EXPECT_EQ(told.limit, 3U);
    EXPECT_TRUE(told.json);
}
TEST(CommandLine, that_asks_for_help_is_answered_on_standard_output_and_is_good) {
    const Told told({"--help"});
    EXPECT_EQ(told.code, exit_good);
    EXPECT_EQ(told.text, "");
    EXPECT_NE(told.out.find("--limit"), std::string::npos);
}
TEST(CommandLine, ends_its_help_with_the_caution) {
    EXPECT_TRUE(Told({"--help"}).out.ends_with("and a licensed engineer.\n"));
}
TEST(CommandLine, with_an_option_that_is_none_is_told_the_nearest_before_anything_that_is_missing) {
    const Told told({"--limt=3"});
    EXPECT_EQ(told.code, exit_bad_input);
    EXPECT_EQ(told.text,
              "freshet count: there is no option \"--limt\"; nearest known option \"--limit\"" + help);
    EXPECT_EQ(Told({"a", "--bogus"}).text, "freshet count: there is no option \"--bogus\"" + help);
}
TEST(CommandLine, that_lacks_something_is_told_what_it_is) {
    EXPECT_EQ(Told({}).text, "freshet count: FILE is required (what is counted)" + help);
    EXPECT_EQ(Told({"a", "--limit"}).text,
              "freshet count: --limit has no value; expected a value (no more than that)" + help);
}
TEST(CommandLine, with_a_value_that_cannot_be_read_is_told_what_was_expected) {
    EXPECT_EQ(Told({"a", "--limit", "-1"}).text,
              "freshet count: --limit: \"-1\" cannot be read; expected a whole number from 0" + help);
}
TEST(CommandLine, with_a_word_too_many_is_told_which) {
    EXPECT_EQ(Told({"a", "b"}).text, "freshet count: \"b\" is an unexpected argument" + help);
}

}  // namespace
}  // namespace freshet::service
