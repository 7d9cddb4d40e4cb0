// The printed advice map against the words of the journal.
#include <gtest/gtest.h>

#include <string>

#include "controller/words/states.hpp"
#include "hal/modbus/advice_map.hpp"

namespace freshet::command {
namespace {

TEST(PrintedRegisters, name_every_cause_of_a_quality_as_the_journal_words_it) {
    std::string expected = "why the quality is not good: ";
    for (const auto& cause : words::quality_causes) {
        if (cause.code != core::Cause::none) expected += ", ";
        expected.append(std::to_string(static_cast<unsigned>(cause.code))).append(" ") += cause.text;
    }
    EXPECT_EQ(modbus::advice_register("measured.cause").meaning, expected);
    EXPECT_EQ(modbus::advice_register("transmitter_1.cause").meaning, expected);
    EXPECT_EQ(modbus::advice_register("transmitter_2.cause").meaning, expected);
}

TEST(PrintedRegisters, have_a_code_for_every_service) {
    const std::string meaning(modbus::advice_register("service").meaning);
    for (const auto& service : words::services)
        EXPECT_NE(meaning.find(std::to_string(static_cast<unsigned>(service.code)) + " "), std::string::npos)
            << service.name;
}

}  // namespace
}  // namespace freshet::command
