// `freshet explain`: the choice of the event, and the message about a damaged journal.
// One reason to change: the arguments of the command.
#include <gtest/gtest.h>

#include <array>
#include <fstream>
#include <string>

#include "sim_plant/command/commands.hpp"
#include "tests/doubles/scratch_folder.hpp"

namespace freshet::command {
namespace {

bool says(const std::string& text, const std::string& piece) {
    return text.find(piece) != std::string::npos;
}

TEST(Explain, says_that_a_journal_cut_off_in_a_line_is_so) {
    const doubles::ScratchFolder folder;
    const std::string file = (folder / "journal.jsonl").string();
    std::ofstream(file) << R"({"seq":1,"time":"2031-06-01T12:00:00.000Z","what":"pump_state","detail":"off",)"
                        << R"("pump":1,"why":"found_off","values":{},"cause":null})"
                        << "\n{\"seq\":2,\"ti";
    std::string name = "explain", path = file, at = "--at", when = "12:00";
    std::array<char*, 4> words{name.data(), path.data(), at.data(), when.data()};
    testing::internal::CaptureStderr();
    testing::internal::CaptureStdout();
    const int code = explain_command(static_cast<int>(words.size()), words.data());
    EXPECT_TRUE(says(testing::internal::GetCapturedStdout(), "Pump 1 had been off"));
    EXPECT_EQ(testing::internal::GetCapturedStderr(),
              "freshet explain: " + file + ": the last line is incomplete and left out\n");
    EXPECT_EQ(code, 0);
}

}  // namespace
}  // namespace freshet::command
