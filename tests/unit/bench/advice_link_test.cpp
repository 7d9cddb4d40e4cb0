// Advice through its registers: the station follows the orders that a reader of the registers would follow.
#include "sim_plant/bench/advice_link.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <span>

namespace freshet::bench {
namespace {

constexpr std::uint8_t four_pumps = 4;
constexpr std::int32_t scan_ms = 100;

/// The orders that a reader decodes from the whole block, without a short cut.
plant::Orders read_whole(const core::Advice& advice) {
    constexpr const modbus::AdviceBlock& block = modbus::advice_block("advice");
    modbus::AdviceEncoder encoder{four_pumps, scan_ms, 5000};
    const modbus::AdviceImage& image = encoder.encode(advice, core::never_ms);
    return orders_from(modbus::decode_advice(std::span{image}.subspan(block.address, block.count)));
}

void expect_same(const plant::Orders& a, const plant::Orders& b) {
    EXPECT_EQ(a.drive_run, b.drive_run);
    EXPECT_EQ(a.synchronise, b.synchronise);
    EXPECT_EQ(a.output_close, b.output_close);
    EXPECT_EQ(a.speed_hz, b.speed_hz) << "to the last bit";
    for (std::size_t pump = 0; pump < a.pumps.size(); ++pump) {
        EXPECT_EQ(a.pumps[pump].drive_side_close, b.pumps[pump].drive_side_close) << pump;
        EXPECT_EQ(a.pumps[pump].line_side_close, b.pumps[pump].line_side_close) << pump;
    }
}

core::Advice advice_at(double speed_hz) {
    core::Advice advice;
    advice.scan_count = 1;
    advice.time_ms = 1'767'225'600'000;
    advice.service = core::Service::normal;
    advice.drive_run = true;
    advice.output_close = true;
    advice.speed_hz = speed_hz;
    advice.pumps[1].drive_side_close = true;
    advice.pumps[3].line_side_close = true;
    return advice;
}

TEST(AdviceLink, carries_every_order) {
    AdviceLink link{four_pumps, scan_ms};
    core::Advice advice = advice_at(47.31);
    expect_same(link.pass(advice), read_whole(advice));
    EXPECT_TRUE(link.pass(advice).pumps[3].line_side_close);
    advice.synchronise = true;
    expect_same(link.pass(advice), read_whole(advice));
    advice.pumps[1].line_side_close = true;
    expect_same(link.pass(advice), read_whole(advice));
    advice.output_close = false;
    expect_same(link.pass(advice), read_whole(advice));
}

TEST(AdviceLink, keeps_the_old_orders_until_the_controller_has_consistent_readings) {
    AdviceLink link{four_pumps, scan_ms};
    core::Advice advice = advice_at(47.31);
    advice.service = core::Service::waiting;
    EXPECT_FALSE(link.pass(advice).drive_run);
    advice.service = core::Service::normal;
    expect_same(link.pass(advice), read_whole(advice));
    EXPECT_TRUE(link.pass(advice).drive_run) << "the same advice, and now it asks";
}

TEST(AdviceLink, rounds_the_reference_as_the_register_does_when_nothing_else_changes) {
    AdviceLink link{four_pumps, scan_ms};
    constexpr int hundredths_max = 7000;
    for (int hundredths = 0; hundredths <= hundredths_max; ++hundredths) {
        const core::Advice advice = advice_at(0.01 * hundredths);
        ASSERT_EQ(link.pass(advice).speed_hz, read_whole(advice).speed_hz) << hundredths;
    }
    constexpr double between_hz = 42.424242;
    EXPECT_NEAR(link.pass(advice_at(between_hz)).speed_hz, 42.42, 1e-9);
}

}  // namespace
}  // namespace freshet::bench
