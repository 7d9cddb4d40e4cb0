// Quantities with units, against the definitions of the units.
// One reason to change: a unit that people write.
#include "config/loader/units.hpp"

#include <gtest/gtest.h>

#include "tests/unit/config/spoiled_file.hpp"

namespace freshet::config {
namespace {

using test::units;

double si(std::string_view text, Quantity quantity) {
    return units().si(text, quantity).value();
}
std::string refusal(std::string_view text, Quantity quantity) {
    return units().si(text, quantity).error();
}

// NIST Special Publication 811 (2008), Appendix B: conversion factors, exact where printed in bold.
TEST(UnitsOfQuantities, reads_a_us_gallon_per_minute_as_the_liquid_gallon) {
    EXPECT_NEAR(si("1 gpm", Quantity::flow), 6.309020e-5, 5e-12);
    EXPECT_NEAR(si("1 gal", Quantity::volume), 3.785412e-3, 5e-10);
    EXPECT_DOUBLE_EQ(si("5500 gpm", Quantity::flow), 5500 * 231 * 0.0254 * 0.0254 * 0.0254 / 60);
}
TEST(UnitsOfQuantities, reads_a_horsepower_as_550_foot_pounds_force_a_second) {
    EXPECT_NEAR(si("1 hp", Quantity::power), 745.6999, 5e-5);
}
TEST(UnitsOfQuantities, reads_feet_inches_miles_and_acres) {
    EXPECT_DOUBLE_EQ(si("1 ft", Quantity::length), 0.3048);
    EXPECT_DOUBLE_EQ(si("3.5 in", Quantity::length), 0.0889);
    EXPECT_DOUBLE_EQ(si("1 mi", Quantity::length), 1609.344);
    EXPECT_NEAR(si("1 acre", Quantity::area), 4046.856, 5e-4);
    EXPECT_NEAR(si("1 cfs", Quantity::flow), 2.831685e-2, 5e-9);
    EXPECT_NEAR(si("1 mgd", Quantity::flow), 4.381264e-2, 5e-9);
}
TEST(UnitsOfQuantities, reads_pounds_and_square_feet_as_inertia) {
    EXPECT_NEAR(si("1 lb ft2", Quantity::inertia), 4.214011e-2, 5e-9);
}
TEST(UnitsOfQuantities, reads_centistokes_and_pounds_per_square_inch) {
    EXPECT_DOUBLE_EQ(si("1 cSt", Quantity::viscosity), 1e-6);
    EXPECT_NEAR(si("1 psi", Quantity::pressure), 6894.757, 5e-4);
}
TEST(UnitsOfQuantities, reads_temperatures_from_their_own_zero) {
    EXPECT_DOUBLE_EQ(si("155 degC", Quantity::temperature), 428.15);
    EXPECT_NEAR(si("311 degF", Quantity::temperature), 428.15, 1e-9);
}
TEST(UnitsOfQuantities, reads_metric_flow_and_electrical_units) {
    EXPECT_DOUBLE_EQ(si("350 L/s", Quantity::flow), 0.35);
    EXPECT_DOUBLE_EQ(si("350 l/s", Quantity::flow), 0.35);
    EXPECT_DOUBLE_EQ(si("60 MVA", Quantity::apparent_power), 60e6);
    EXPECT_DOUBLE_EQ(si("4.16 kV", Quantity::voltage), 4160);
    EXPECT_DOUBLE_EQ(si("2 uA", Quantity::current), 2e-6);
    EXPECT_DOUBLE_EQ(si("15 min", Quantity::duration), 900);
}
TEST(UnitsOfQuantities, takes_a_ratio_as_a_number_or_a_percentage) {
    EXPECT_DOUBLE_EQ(si("84 %", Quantity::ratio), 0.84);
    EXPECT_DOUBLE_EQ(si("0.84", Quantity::ratio), 0.84);
}
TEST(UnitsOfQuantities, does_not_take_turns_a_minute_for_hertz_nor_an_angle_for_a_ratio) {
    EXPECT_EQ(refusal("1773 rpm", Quantity::frequency),
              R"("1773 rpm" has the wrong unit; expected a frequency, such as "60 Hz")");
    EXPECT_EQ(refusal("60 Hz", Quantity::rotation),
              R"("60 Hz" has the wrong unit; expected a rotational speed, such as "1775 rpm")");
    EXPECT_EQ(refusal("5 deg", Quantity::ratio),
              R"("5 deg" has the wrong unit; expected a ratio, such as 0.84 or "84 %")");
    EXPECT_DOUBLE_EQ(si("10 deg", Quantity::angle), 10);
}
TEST(UnitsOfQuantities, refuses_a_flow_where_a_level_is_wanted) {
    EXPECT_EQ(
        refusal("350 gpm", Quantity::length),
        R"("350 gpm" has the wrong unit; expected a length, level or head, such as "4.2 m" or "14 ft")");
}
TEST(UnitsOfQuantities, refuses_a_text_without_a_number_and_an_unknown_unit) {
    EXPECT_EQ(
        refusal("four m", Quantity::length),
        R"("four m" does not begin with a number; expected a length, level or head, such as "4.2 m" or "14 ft")");
    EXPECT_EQ(refusal("4,2 m", Quantity::length),
              R"(",2 m" is not a known unit; expected a length, level or head, such as "4.2 m" or "14 ft")");
    EXPECT_EQ(refusal("4.2", Quantity::length),
              R"("4.2" has no unit; expected a length, level or head, such as "4.2 m" or "14 ft")");
    EXPECT_EQ(
        refusal("4.2 metre cube", Quantity::length),
        R"("metre cube" is not a known unit; expected a length, level or head, such as "4.2 m" or "14 ft")");
    EXPECT_FALSE(units().si("nan m", Quantity::length));
    EXPECT_FALSE(units().si("inf m", Quantity::length));
    EXPECT_FALSE(units().si("", Quantity::length));
}
TEST(UnitsOfQuantities, refuses_offsets_time_origins_and_logarithms) {
    EXPECT_FALSE(units().si("4 m @ 3", Quantity::length));
    EXPECT_FALSE(units().si("4 s since 2000-01-01", Quantity::duration));
    EXPECT_FALSE(units().si("4 lg(re 1 m)", Quantity::length));
    EXPECT_FALSE(units().si("4 3 m", Quantity::length));
}
TEST(UnitsOfQuantities, gives_a_count_of_a_register_its_step_and_its_zero) {
    const auto celsius = units().linear("0.1 degC", "K", "a temperature").value();
    EXPECT_NEAR(celsius.factor, 0.1, 1e-12);
    EXPECT_DOUBLE_EQ(celsius.zero, 273.15);
    const auto feet = units().linear("0.01 ft", "m", "a level").value();
    EXPECT_DOUBLE_EQ(feet.factor, 0.003048);
    EXPECT_EQ(feet.zero, 0);
}

}  // namespace
}  // namespace freshet::config
