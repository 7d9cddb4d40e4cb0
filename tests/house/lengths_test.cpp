// No function is longer than 70 lines and no file longer than 450, tests 700; and the scanner that counts is
// judged on small samples. One reason to change: a bound, or a file that is still too long.
#include "tests/house/lengths.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "tests/house/tree.hpp"

namespace freshet::house {
namespace {

constexpr std::size_t function_lines_max = 70;
constexpr std::size_t file_lines_max = 450, test_file_lines_max = 700;

/// A file, or a function of a file, that is still too long, and how long it may be until it is split.
struct StillTooLong {
    std::string_view path;
    std::string_view function;  ///< empty: the file as a whole
    std::size_t lines;
};

const std::vector<StillTooLong>& still_too_long() {
    static const std::vector<StillTooLong> all{};
    return all;
}

std::size_t bound_of(std::string_view path, std::string_view function, std::size_t bound) {
    for (const StillTooLong& one : still_too_long()) {
        if (one.path == path && one.function == function) return std::max(bound, one.lines);
    }
    return bound;
}

bool is_code(std::string_view path) {
    constexpr std::array<std::string_view, 10> endings{".cpp", ".hpp", ".py",  ".sh",   ".txt",
                                                       ".js",  ".mjs", ".css", ".html", ".cmake"};
    if (path.ends_with(".txt")) return path.ends_with("CMakeLists.txt");
    return std::any_of(endings.begin(), endings.end(),
                       [path](std::string_view ending) { return path.ends_with(ending); });
}

TEST(Lengths, of_functions_stay_within_seventy_lines) {
    std::size_t functions = 0;
    for (const SourceFile& file : files_in("")) {
        if (!is_cpp(file.path)) continue;
        for (const FunctionLength& function : functions_of(file.text)) {
            ++functions;
            EXPECT_LE(function.lines, bound_of(file.path, function.name, function_lines_max))
                << file.path << ":" << function.first_line << ": " << function.name;
        }
    }
    EXPECT_GT(functions, 1000U) << "the functions were not found at all";
}

TEST(Lengths, of_files_stay_within_450_lines_and_of_tests_within_700) {
    for (const SourceFile& file : files_in("")) {
        if (!is_code(file.path)) continue;
        const bool test = file.path.starts_with("tests/");
        EXPECT_LE(lines_of(file.text), bound_of(file.path, {}, test ? test_file_lines_max : file_lines_max))
            << file.path;
    }
}

/// "name first_line lines" of each function, separated by "; ".
std::string found_in(std::string_view text) {
    std::string found;
    for (const FunctionLength& function : functions_of(text)) {
        if (!found.empty()) found += "; ";
        found +=
            function.name + " " + std::to_string(function.first_line) + " " + std::to_string(function.lines);
    }
    return found;
}

TEST(FunctionsOf, counts_from_the_signature_to_the_closing_brace) {
    EXPECT_EQ(found_in("int f(int a,\n      int b) {\n    return a + b;\n}\n"), "f 1 4");
}

TEST(FunctionsOf, counts_blocks_and_lambdas_with_the_function_around_them) {
    EXPECT_EQ(found_in("void f() {\n    if (a) {\n    }\n    auto g = [] {\n    };\n}\nvoid h() {}\n"),
              "f 1 6; h 7 1");
}

TEST(FunctionsOf, looks_into_namespaces_and_classes) {
    EXPECT_EQ(found_in("namespace a {\nclass B : public C {\n  public:\n    int f() const { return 1; }\n"
                       "  private:\n    int g_ = 0;\n};\nvoid h() {\n}\n}\n"),
              "f 4 1; h 8 2");
}

TEST(FunctionsOf, takes_no_table_for_a_function) {
    EXPECT_EQ(found_in("constexpr int a[] = {\n1,\n2};\nstd::array<int, 2> b{\n1, 2};\nint c{1}, d{2};\n"
                       "std::array<X, f(3) - 1> e{{\n{1},\n{2}}};\nenum class E : int { x, y };\nconst auto "
                       "e = f(G{1});\n"),
              "");
}

TEST(FunctionsOf, takes_a_lambda_in_a_variable_for_a_function) {
    EXPECT_EQ(found_in("const auto f = [](int a) {\n    return a;\n};\n"), "f 1 3");
}

TEST(FunctionsOf, takes_the_braces_of_a_constructors_list_for_a_part_of_the_constructor) {
    EXPECT_EQ(found_in("A::A(int b)\n    : b_{b},\n      c_(0),\n      d_{1} {\n    f();\n}\nvoid g() {}\n"),
              "A::A 1 6; g 7 1");
}

TEST(FunctionsOf, is_led_astray_by_no_default_no_template_no_operator_and_no_macro) {
    EXPECT_EQ(found_in("void f(B b = {}, int c = 3) {\n}\n"), "f 1 2");
    EXPECT_EQ(found_in("template <class T = int, int n = 2>\nvoid f() {\n}\n"), "f 1 3");
    EXPECT_EQ(found_in("bool operator==(A a, A b) {\n}\n"), "operator== 1 2");
    EXPECT_EQ(found_in("TEST(A, b) {\n}\n"), "TEST 1 2");
    EXPECT_EQ(found_in("#define X(a) \\\n    void a() {\nvoid f() {\n}\n"), "f 3 2");
    EXPECT_EQ(found_in("extern \"C\" void f(int) {\n}\n"), "f 1 2");
}

TEST(FunctionsOf, is_led_astray_by_no_brace_in_a_comment_or_a_literal) {
    EXPECT_EQ(found_in("void f() {\n    // }\n    g(\"}\", '}', R\"(})\");\n}\n"), "f 1 4");
}

TEST(LinesOf, counts_a_last_line_without_its_end) {
    EXPECT_EQ(lines_of(""), 0U);
    EXPECT_EQ(lines_of("a\n"), 1U);
    EXPECT_EQ(lines_of("a\nb"), 2U);
}

}  // namespace
}  // namespace freshet::house
