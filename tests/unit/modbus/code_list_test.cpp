// Code lists of the printed register map.
// One reason to change: how a printed document lists the codes of an enumeration.
#include "hal/modbus/code_list.hpp"

#include <gtest/gtest.h>

#include <array>
#include <string>
#include <string_view>

#include "controller/words/reasons.hpp"
#include "controller/words/word.hpp"
#include "hal/modbus/advice_map.hpp"

namespace freshet::modbus {
namespace {

enum class Colour : unsigned char { none, dark_grey };
constexpr std::array<words::Word<Colour>, 2> colours{
    {{Colour::none, "none", "no colour"}, {Colour::dark_grey, "dark_grey", "grey, dark"}}};

TEST(CodeList, gives_the_number_and_the_name_of_every_code) {
    EXPECT_EQ((code_list<"", colours, Spelling::name>), "0 none, 1 dark_grey");
}

TEST(CodeList, can_spell_a_name_with_blanks_or_give_the_text_for_people) {
    EXPECT_EQ((code_list<"colour: ", colours>), "colour: 0 none, 1 dark grey");
    EXPECT_EQ((code_list<"", colours, Spelling::text, " (of the case)">),
              "0 no colour, 1 grey, dark (of the case)");
}

TEST(CodeList, writes_numbers_of_two_digits) {
    const std::string_view meaning = advice_register("next.reason").meaning;
    EXPECT_NE(meaning.find(", 9 "), std::string_view::npos);
    EXPECT_NE(meaning.find(", 10 "), std::string_view::npos);
    const std::string last = ", " + std::to_string(words::reasons.size() - 1) + " ";
    EXPECT_NE(meaning.find(last), std::string_view::npos) << meaning;
}

}  // namespace
}  // namespace freshet::modbus
