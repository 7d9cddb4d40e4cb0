// What may not stand in a file: in the core, anything that reads a clock, allocates, does I/O or may differ
// in its last bit; anywhere, a marker of unfinished work, a path of somebody's machine, or a file that says
// nothing of itself. One reason to change: a habit that the house takes up or gives up.
#include <gtest/gtest.h>

#include <algorithm>
#include <regex>
#include <string>
#include <string_view>
#include <vector>

#include "tests/house/tree.hpp"

namespace freshet::house {
namespace {

std::size_t line_at(std::string_view text, std::ptrdiff_t offset) {
    return 1 + static_cast<std::size_t>(std::count(text.begin(), text.begin() + offset, '\n'));
}

/// The places of a pattern in a text, as "file:line: match".
std::vector<std::string> places(const SourceFile& file, const std::string& text, const std::regex& pattern) {
    std::vector<std::string> found;
    for (auto match = std::sregex_iterator(text.begin(), text.end(), pattern);
         match != std::sregex_iterator(); ++match) {
        found.push_back(file.path + ":" + std::to_string(line_at(text, match->position())) + ": " +
                        match->str());
    }
    return found;
}

std::string joined(const std::vector<std::string>& lines) {
    std::string text;
    for (const std::string& line : lines) text += line + "\n";
    return text;
}

void append(std::vector<std::string>& all, std::vector<std::string> more) {
    all.insert(all.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

std::vector<std::string> in_core(const std::regex& pattern) {
    std::vector<std::string> found;
    for (const SourceFile& file : files_in("controller/core")) {
        if (is_cpp(file.path)) append(found, places(file, code_of(file.text), pattern));
    }
    return found;
}

TEST(Core, neither_allocates_nor_throws) {
    const std::regex banned(
        R"re(\b(new|delete|malloc|calloc|realloc|free|throw|try|catch|make_unique|make_shared|unique_ptr|shared_ptr|std::(string|vector|map|set|deque|list|function|unordered_\w+))\b(?!\s*=\s*(default|delete)))re");
    std::vector<std::string> found = in_core(banned);
    // `free` and `delete` are words of the sequence tables and of class definitions; only calls count.
    std::erase_if(found, [](const std::string& place) { return place.ends_with(": free"); });
    EXPECT_EQ(joined(found), "");
}

TEST(Core, reads_no_clock_and_no_random_number_and_no_locale) {
    EXPECT_EQ(
        joined(in_core(std::regex(
            R"re(\b(chrono|clock|clock_gettime|gettimeofday|time_t|std::time|rand|srand|random|random_device|mt19937\w*|locale|setlocale|getenv)\b)re"))),
        "");
}

TEST(Core, does_no_input_or_output) {
    EXPECT_EQ(
        joined(in_core(std::regex(
            R"re(\b(iostream|ostream|istream|fstream|cout|cerr|printf|fprintf|puts|fopen|spdlog|fmt|asio|boost|modbus|socket|thread|mutex|atomic)\b)re"))),
        "");
}

// IEEE 754 requires the last bit only of the basic operations, the square root and a few more; the C library
// may differ in the functions below from one platform to the next, and with them the advice.
TEST(Core, calls_no_library_function_whose_last_bit_may_differ) {
    EXPECT_EQ(
        joined(in_core(std::regex(
            R"re(\b(sin|cos|tan|asin|acos|atan|atan2|sinh|cosh|tanh|exp|exp2|expm1|log|log2|log10|log1p|pow|cbrt|hypot|tgamma|lgamma|erf|erfc|fma)f?\s*\()re"))),
        "");
}

TEST(Core, keeps_no_state_outside_its_objects) {
    EXPECT_EQ(
        joined(in_core(std::regex(
            R"re(\b(static|thread_local|mutable|extern|goto|volatile)\b(?!_)(?!\s+(constexpr|consteval|const)\b))re"))),
        "");
}

TEST(FieldSide, has_no_write_call) {
    std::vector<std::string> found;
    for (const SourceFile& file : files_in("")) {
        if (!is_cpp(file.path) || file.path.starts_with("tests/")) continue;
        append(found, places(file, code_of(file.text), std::regex(R"re(\bmodbus_(write|mask_write)\w*)re")));
    }
    EXPECT_EQ(joined(found), "");
}

TEST(EveryFile, says_in_its_first_comment_what_it_is_for) {
    for (const SourceFile& file : files_in("")) {
        const std::string& text = file.text;
        if (is_cpp(file.path)) {
            EXPECT_TRUE(text.starts_with("// ")) << file.path;
        } else if (file.path.ends_with("CMakeLists.txt") || file.path.ends_with(".toml")) {
            EXPECT_TRUE(text.starts_with("# ")) << file.path;
        } else if (file.path.ends_with(".sh") || file.path.ends_with(".py") || file.path == ".ci/run") {
            const std::size_t begin = text.starts_with("#!") ? text.find('\n') + 1 : 0;
            const std::string_view rest = std::string_view(text).substr(begin);
            EXPECT_TRUE(rest.starts_with("# ") || rest.starts_with("\"\"\"")) << file.path;
        } else if (file.path.ends_with(".js") || file.path.ends_with(".mjs") || file.path.ends_with(".css")) {
            EXPECT_TRUE(text.starts_with("//") || text.starts_with("/*")) << file.path;
        }
    }
}

TEST(EveryFile, has_no_marker_of_unfinished_work) {
    // Put together from halves, so that this file passes its own test.
    const std::regex marker(std::string("\\b(TO") + "DO|FIX" + "ME|XX" + "X|HA" + "CK|W" + "IP)\\b");
    std::vector<std::string> found;
    for (const SourceFile& file : files_in("")) append(found, places(file, file.text, marker));
    EXPECT_EQ(joined(found), "");
}

TEST(EveryFile, names_no_path_of_somebodys_machine) {
    const std::regex path(
        "(^|[\\s\"'(=:])/(wo"
        "rk|ho"
        "me|ro"
        "ot|t"
        "mp|mn"
        "t|Us"
        "ers)/[A-Za-z0-9_.-]+");
    std::vector<std::string> found;
    for (const SourceFile& file : files_in("")) {
        // A script that makes a bare machine writes about that machine's folders.
        if (file.path == "tests/fresh_machine.sh") continue;
        append(found, places(file, file.text, path));
    }
    EXPECT_EQ(joined(found), "");
}

TEST(EveryFile, ends_with_a_line_end_and_has_no_tab_or_trailing_blank) {
    for (const SourceFile& file : files_in("")) {
        if (!is_cpp(file.path)) continue;
        EXPECT_TRUE(file.text.ends_with("\n")) << file.path;
        EXPECT_EQ(joined(places(file, file.text, std::regex("\t| +\n"))), "");
    }
}

}  // namespace
}  // namespace freshet::house
