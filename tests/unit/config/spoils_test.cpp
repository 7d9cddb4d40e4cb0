// Shipped files with random bytes spoiled: the loader takes them or says what is wrong, and never falls over.
// One reason to change: how bytes are spoiled.
#include <gtest/gtest.h>

#include <array>
#include <cstdint>
#include <string>

#include "tests/unit/config/spoiled_file.hpp"

namespace freshet::config {
namespace {

using test::shipped;
using test::units;

/// SplitMix64 (Steele, Lea and Flood 2014): the same spoils on every machine.
struct Dice {
    std::uint64_t state;
    std::uint64_t roll() {
        std::uint64_t z = (state += 0x9E3779B97F4A7C15U);
        z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
        z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
        return z ^ (z >> 31U);
    }
    std::size_t below(std::size_t bound) { return static_cast<std::size_t>(roll() % bound); }
};

/// One to eight spoils: a byte changed, inserted, dropped, a piece repeated, or the rest cut off.
std::string spoiled(std::string text, Dice& dice) {
    constexpr std::string_view likely = "\"[]{}=.,#-+0123456789eE mhz%\n\\";
    for (std::size_t left = 1 + dice.below(8); left > 0 && !text.empty(); --left) {
        const std::size_t at = dice.below(text.size());
        const char byte =
            dice.below(2) == 0 ? likely[dice.below(likely.size())] : static_cast<char>(dice.below(256));
        switch (dice.below(16)) {
            case 0:
                text.resize(at);
                break;
            case 1:
                text.insert(at, text.substr(dice.below(text.size()), dice.below(200)));
                break;
            case 2:
                text.erase(at, dice.below(60));
                break;
            case 3:
            case 4:
            case 5:
                text.insert(at, 1, byte);
                break;
            case 6:
            case 7:
                text.erase(at, 1);
                break;
            default:
                text[at] = byte;
        }
    }
    return text;
}

template <class Read>
void spoil(std::string_view path, std::size_t times, Read read) {
    const std::string file = shipped(path), whole = read_text(file).value();
    Dice dice{20310514};
    std::size_t refused = 0;
    for (std::size_t i = 0; i < times; ++i) {
        const auto result = read(spoiled(whole, dice), file, units());
        if (result) continue;
        ++refused;
        ASSERT_FALSE(result.error().empty());
        for (const Error& error : result.error()) ASSERT_FALSE(error.message.empty());
    }
    // Most spoils hit something that matters; many hit a comment.
    EXPECT_GT(refused, times / 4);
    EXPECT_LT(refused, times);
}

TEST(SpoiledBytes, never_fell_the_reading_of_a_station) {
    spoil("stations/demo.toml", 1500, read_station_file);
    spoil("stations/booster.toml", 500, read_station_file);
}
TEST(SpoiledBytes, never_fell_the_reading_of_a_scenario) {
    spoil("scenarios/design_storm.toml", 300, read_scenario);
}
TEST(SpoiledBytes, never_fell_the_reading_of_a_field_map) {
    spoil("field_maps/demo.toml", 1000, read_field_map);
    spoil("field_maps/scattered.toml", 500, read_field_map);
}

}  // namespace
}  // namespace freshet::config
