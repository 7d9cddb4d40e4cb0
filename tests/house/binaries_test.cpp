// What the linker put together, which include lines cannot tell: the controller process holds no simulation
// and no call that writes to the field, and the core calls nothing but arithmetic and memory moves. One
// reason to change: what a program of ours may be made of.
#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <memory>
#include <regex>
#include <sstream>
#include <string>
#include <vector>

namespace freshet::house {
namespace {

/// Lines of what `nm` (binutils) says of a file.
std::vector<std::string> symbols(const std::string& options, const std::string& file) {
    const std::string command = "nm -C " + options + " '" + file + "'";
    std::unique_ptr<std::FILE, int (*)(std::FILE*)> pipe(::popen(command.c_str(), "r"), ::pclose);
    std::string text;
    std::array<char, 4096> part{};
    while (pipe && std::fgets(part.data(), static_cast<int>(part.size()), pipe.get()) != nullptr)
        text += part.data();
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) lines.push_back(line);
    return lines;
}

std::string matching(const std::vector<std::string>& lines, const std::regex& pattern) {
    std::string found;
    for (const std::string& line : lines) {
        if (std::regex_search(line, pattern)) found += line + "\n";
    }
    return found;
}

TEST(ControllerProcess, holds_no_part_of_the_simulation) {
    const auto all = symbols("", FRESHET_CONTROLLER_PROGRAM);
    ASSERT_NE(matching(all, std::regex("freshet::core::")), "") << "no symbols were read";
    EXPECT_EQ(matching(all, std::regex("freshet::(plant|bench|studies|command|weather|sensors)::")), "");
}

TEST(ControllerProcess, calls_no_function_that_writes_to_the_field) {
    const auto undefined = symbols("-u", FRESHET_CONTROLLER_PROGRAM);
    ASSERT_NE(matching(undefined, std::regex("modbus_read_")), "") << "it does not even read";
    EXPECT_EQ(matching(undefined, std::regex("modbus_(write|mask_write|send_raw|reply)")), "");
}

TEST(CoreLibrary, calls_nothing_but_arithmetic_and_memory_moves) {
    const std::regex harmless(
        "^$|:$|freshet::core::| U "
        "(memcpy|memmove|memset|memcmp|bcmp|sqrt|floor|ceil|round|trunc|rint|nearbyint|fmod|"
        "__stack_chk_fail|_GLOBAL_OFFSET_TABLE_|__assert_fail)$");
    const auto undefined = symbols("-u", FRESHET_CORE_LIBRARY);
    ASSERT_NE(matching(symbols("", FRESHET_CORE_LIBRARY), std::regex("freshet::core::")), "")
        << "no symbols were read";
    std::string found;
    for (const std::string& line : undefined) {
        if (!std::regex_search(line, harmless)) found += line + "\n";
    }
    EXPECT_EQ(found, "");
}

}  // namespace
}  // namespace freshet::house
