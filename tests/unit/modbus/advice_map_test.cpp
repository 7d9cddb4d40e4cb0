// The advice map: its table, advice into registers and back, and when advice counts as void.
// One reason to change: what is published.
#include "hal/modbus/advice_map.hpp"

#include <cmath>
#include <limits>
#include <set>
#include <string>

#include <gtest/gtest.h>

#include "hal/modbus/advice_decoder.hpp"
#include "hal/modbus/advice_encoder.hpp"
#include "tests/unit/modbus/site.hpp"

namespace freshet::modbus {
namespace {

constexpr std::uint8_t four_pumps = 4;
constexpr std::int32_t scan_ms = 100;
constexpr std::int32_t expiry_ms = 5000;

std::span<const std::uint16_t> block_of(const AdviceImage& image, const AdviceBlock& block) {
    return std::span(image).subspan(block.address, block.count);
}

std::uint64_t raw(const AdviceImage& image, const AdviceRegister& at) {
    return get_words(image.data() + at.address, at.words(), config::WordOrder::abcd);
}

/// Advice in the middle of a hand-over of pump 2 with pump 1 on the line.
core::Advice a_hand_over() {
    core::Advice advice;
    advice.time_ms = morning_ms;
    advice.scan_count = 70000;
    advice.drive_run = true;
    advice.speed_hz = 59.97;
    advice.synchronise = true;
    advice.output_close = true;
    advice.pumps[0] = {false, true, core::PumpState::on_line};
    advice.pumps[1] = {true, false, core::PumpState::to_line};
    advice.sequence = core::Sequence::hand_over;
    advice.step = core::Step::over_synchronise;
    advice.sequence_pump = 1;
    advice.drive_pump = 1;
    advice.pumps_on_line = 1;
    advice.next = {core::Intention::start_on_drive, 2, 12000, core::Reason::forecast_short};
    advice.service = core::Service::one_transmitter;
    advice.measured_m = -1.234;
    advice.measured_quality = core::Quality::uncertain;
    advice.measured_cause = core::Cause::stale;
    advice.setpoint_m = 2.5;
    advice.inflow_m3s = 0.4567;
    advice.pumped_m3s = 0.9;
    advice.station_alarms = 0x80000001;
    advice.pump_alarms[1] = 0x0042;
    advice.station_alarm_marks = {0x80000000, 0x40000000, 0x20000000, 0x00000003};
    advice.pump_alarm_marks[3] = {0x0001, 0x0002, 0x1000, 0x0008};
    advice.transmitters = {core::TransmitterState{core::Quality::uncertain, core::Cause::implausible_rate},
                           core::TransmitterState{core::Quality::bad, core::Cause::under_range}};
    advice.figures[0] = {7'200'000, 3, 1, 2};
    return advice;
}

// --- the table ---

TEST(AdviceMap, has_no_hole_inside_a_block_and_no_register_twice) {
    for (const AdviceBlock& block : advice_blocks) {
        std::uint32_t next = block.address;
        for (const AdviceRegister& entry : advice_registers) {
            if (entry.block != block.name) continue;
            EXPECT_EQ(entry.address, next) << entry.name.view();
            next += static_cast<std::uint32_t>(entry.words());
        }
        EXPECT_EQ(next, static_cast<std::uint32_t>(block.address) + block.count);
    }
}

TEST(AdviceMap, can_read_each_block_in_one_request) {
    for (const AdviceBlock& block : advice_blocks) EXPECT_LE(block.count, 125) << block.name;
}

TEST(AdviceMap, begins_and_ends_each_block_with_the_scan_counter) {
    for (const AdviceBlock& block : advice_blocks) {
        const AdviceRegister* first = nullptr;
        const AdviceRegister* last = nullptr;
        for (const AdviceRegister& entry : advice_registers) {
            if (entry.block != block.name) continue;
            if (first == nullptr) first = &entry;
            last = &entry;
        }
        ASSERT_NE(first, nullptr);
        EXPECT_EQ(first->name.view(), std::string(block.name) + ".scan_first");
        EXPECT_EQ(last->name.view(), std::string(block.name) + ".scan_last");
    }
}

TEST(AdviceMap, names_every_register_once_and_says_what_it_means) {
    std::set<std::string_view> names;
    for (const AdviceRegister& entry : advice_registers) {
        EXPECT_TRUE(names.insert(entry.name.view()).second) << entry.name.view();
        EXPECT_FALSE(entry.meaning.empty()) << entry.name.view();
    }
}

TEST(AdviceMap, gives_the_registers_of_each_pump_a_constant_distance) {
    const PumpRegisters state = pump_registers("state");
    EXPECT_EQ(state.of(0), advice_register("pump_1.state").address);
    EXPECT_EQ(state.of(1), advice_register("pump_2.state").address);
    EXPECT_EQ(state.of(7), advice_register("pump_8.state").address);
}

TEST(AdviceMap, serves_nothing_that_leaves_a_block) {
    const AdviceBlock& advice = advice_block("advice");
    EXPECT_TRUE(advice_serves(advice.address, advice.count));
    EXPECT_FALSE(advice_serves(advice.address, advice.count + 1U));
    EXPECT_FALSE(advice_serves(advice.address - 1U, 2));
    EXPECT_FALSE(advice_serves(65535, 1));
}

// --- encode and decode ---

TEST(AdviceEncoder, shows_its_identity_and_no_advice_before_the_first_scan) {
    const AdviceEncoder encoder(four_pumps, scan_ms, expiry_ms);

    const AdviceIdentity identity = decode_identity(block_of(encoder.image(), advice_block("identity")));
    const AdviceRead read = decode_advice(block_of(encoder.image(), advice_block("advice")));

    EXPECT_TRUE(identity.ours);
    EXPECT_EQ(identity.pump_count, four_pumps);
    EXPECT_EQ(identity.scan_ms, scan_ms);
    EXPECT_FALSE(read.whole);
    EXPECT_EQ(read.measured_quality, core::Quality::bad);
    EXPECT_TRUE(std::isnan(read.measured_m));
}

TEST(AdviceEncoder, carries_every_field_of_the_advice_through_registers) {
    AdviceEncoder encoder(four_pumps, scan_ms, expiry_ms);
    const core::Advice advice = a_hand_over();

    const AdviceRead read =
        decode_advice(block_of(encoder.encode(advice, morning_ms), advice_block("advice")));

    EXPECT_TRUE(read.whole);
    EXPECT_EQ(read.scan_count, 70000U);
    EXPECT_EQ(read.time_ms, morning_ms);
    EXPECT_EQ(read.expiry_ms, expiry_ms);
    EXPECT_TRUE(read.drive_run && read.synchronise && read.output_close);
    EXPECT_DOUBLE_EQ(read.speed_hz, advice.speed_hz);
    EXPECT_TRUE(read.pumps[0].line_side_close && !read.pumps[0].drive_side_close);
    EXPECT_TRUE(read.pumps[1].drive_side_close && !read.pumps[1].line_side_close);
    EXPECT_EQ(read.pumps[1].state, core::PumpState::to_line);
    EXPECT_EQ(read.drive_pump, 1);
    EXPECT_EQ(read.sequence, core::Sequence::hand_over);
    EXPECT_EQ(read.step, core::Step::over_synchronise);
    EXPECT_EQ(read.next.intention, core::Intention::start_on_drive);
    EXPECT_EQ(read.next.pump, 2);
    EXPECT_EQ(read.next.countdown_ms, 12000);
    EXPECT_EQ(read.next.reason, core::Reason::forecast_short);
    EXPECT_EQ(read.service, core::Service::one_transmitter);
    EXPECT_NEAR(read.measured_m, -1.234, 1e-9);
    EXPECT_EQ(read.measured_quality, core::Quality::uncertain);
    EXPECT_EQ(read.measured_cause, core::Cause::stale);
    EXPECT_NEAR(read.inflow_m3s, 0.4567, 1e-9);
}

TEST(AdviceEncoder, carries_every_speed_reference_exactly) {
    AdviceEncoder encoder(four_pumps, scan_ms, expiry_ms);
    core::Advice advice = a_hand_over();
    for (int hundredths = 0; hundredths <= 7000; ++hundredths) {
        advice.speed_hz = hundredths * 0.01;
        const AdviceRead read =
            decode_advice(block_of(encoder.encode(advice, morning_ms), advice_block("advice")));
        ASSERT_EQ(read.speed_hz, hundredths * 0.01);
    }
}

TEST(AdviceEncoder, mirrors_scaled_integers_as_floats) {
    AdviceEncoder encoder(four_pumps, scan_ms, expiry_ms);
    const AdviceImage& image = encoder.encode(a_hand_over(), morning_ms);

    const auto mirror = static_cast<std::uint32_t>(raw(image, advice_register("float.measured")));

    EXPECT_FLOAT_EQ(std::bit_cast<float>(mirror), -1.234F);
    EXPECT_EQ(static_cast<std::int32_t>(raw(image, advice_register("measured"))), -1234);
}

TEST(AdviceEncoder, says_not_available_for_an_inflow_that_is_not_known_yet) {
    AdviceEncoder encoder(four_pumps, scan_ms, expiry_ms);
    core::Advice advice = a_hand_over();
    encoder.encode(advice, morning_ms);
    advice.inflow_m3s = std::numeric_limits<double>::quiet_NaN();

    const AdviceImage& image = encoder.encode(advice, morning_ms);

    EXPECT_EQ(raw(image, advice_register("inflow")), 0x80000000U);
    EXPECT_FALSE(number_of(raw(image, advice_register("float.inflow")), config::WordType::f32).known);
}

TEST(AdviceEncoder, publishes_the_age_of_the_measured_value) {
    AdviceEncoder encoder(four_pumps, scan_ms, expiry_ms);
    EXPECT_EQ(raw(encoder.encode(a_hand_over(), morning_ms - 1500), advice_register("measured.age")), 1500U);
    EXPECT_EQ(raw(encoder.encode(a_hand_over(), core::never_ms), advice_register("measured.age")),
              0xFFFFFFFFU);
}

TEST(AdviceEncoder, publishes_alarms_and_figures_of_each_pump) {
    AdviceEncoder encoder(four_pumps, scan_ms, expiry_ms);
    const AdviceImage& image = encoder.encode(a_hand_over(), morning_ms);

    EXPECT_EQ(raw(image, advice_register("station_alarms")), 0x80000001U);
    EXPECT_EQ(raw(image, advice_register("pump_2.alarms")), 0x0042U);
    EXPECT_EQ(raw(image, advice_register("pump_1.run_time")), 120U) << "two hours in minutes";
    EXPECT_EQ(raw(image, advice_register("pump_1.starts")), 3U);
    EXPECT_EQ(raw(image, advice_register("pump_1.line_starts")), 1U);
    EXPECT_EQ(raw(image, advice_register("pump_1.starts_last_hour")), 2U);
}

TEST(AdviceEncoder, publishes_which_alarms_are_set_aside_suppressed_or_came_first) {
    AdviceEncoder encoder(four_pumps, scan_ms, expiry_ms);
    const AdviceImage& image = encoder.encode(a_hand_over(), morning_ms);

    EXPECT_EQ(raw(image, advice_register("station_alarms_shelved")), 0x80000000U);
    EXPECT_EQ(raw(image, advice_register("station_alarms_out_of_service")), 0x40000000U);
    EXPECT_EQ(raw(image, advice_register("station_alarms_suppressed")), 0x20000000U);
    EXPECT_EQ(raw(image, advice_register("station_alarms_first_out")), 0x00000003U);
    EXPECT_EQ(raw(image, advice_register("pump_4.alarms_shelved")), 0x0001U);
    EXPECT_EQ(raw(image, advice_register("pump_4.alarms_out_of_service")), 0x0002U);
    EXPECT_EQ(raw(image, advice_register("pump_4.alarms_suppressed")), 0x1000U);
    EXPECT_EQ(raw(image, advice_register("pump_4.alarms_first_out")), 0x0008U);
    EXPECT_EQ(raw(image, advice_register("pump_1.alarms_shelved")), 0U);
}

TEST(AdviceEncoder, publishes_the_quality_of_each_transmitter_with_its_cause) {
    AdviceEncoder encoder(four_pumps, scan_ms, expiry_ms);
    const AdviceRegister& quality_1 = advice_register("transmitter_1.quality");
    EXPECT_EQ(raw(encoder.image(), quality_1), 2U) << "bad before the first scan";
    EXPECT_EQ(raw(encoder.image(), advice_register("transmitter_1.cause")), 1U) << "never read";

    const AdviceImage& image = encoder.encode(a_hand_over(), morning_ms);
    EXPECT_EQ(raw(image, quality_1), 1U);
    EXPECT_EQ(raw(image, advice_register("transmitter_1.cause")), 9U);
    EXPECT_EQ(raw(image, advice_register("transmitter_2.quality")), 2U);
    EXPECT_EQ(raw(image, advice_register("transmitter_2.cause")), 7U);
}

/// Advice of which every value differs from a_hand_over().
core::Advice another_advice() {
    core::Advice advice;
    advice.time_ms = morning_ms + 100;
    advice.scan_count = 70001;
    advice.pumps.fill({true, true, core::PumpState::stopping});
    advice.pumps[0] = {true, false, core::PumpState::to_drive};
    advice.pumps[1] = {false, true, core::PumpState::off};
    advice.pumps_on_line = 3;
    advice.next = {core::Intention::line_start, 4, 500, core::Reason::exercise_due};
    advice.service = core::Service::hold;
    advice.measured_quality = core::Quality::good;
    advice.measured_cause = core::Cause::none;
    for (double* const number : {&advice.measured_m, &advice.setpoint_m, &advice.demand_hz,
                                 &advice.minimum_flow_hz, &advice.inflow_m3s, &advice.pumped_m3s}) {
        *number = 7;
    }
    advice.transmitters.fill({core::Quality::good, core::Cause::stale});
    advice.station_alarms = advice.station_alarms_unacknowledged = 4;
    advice.pump_alarms.fill(1);
    advice.pump_alarms_unacknowledged.fill(1);
    advice.station_alarm_marks = {1, 1, 1, 1};
    advice.pump_alarm_marks.fill({16, 16, 16, 16});
    advice.figures.fill({60'000, 8, 8, 8});
    return advice;
}

TEST(AdviceEncoder, writes_every_register_that_is_not_fixed_by_the_station) {
    AdviceEncoder encoder(core::pumps_max, scan_ms, expiry_ms);
    const AdviceImage before = encoder.encode(a_hand_over(), morning_ms);
    const AdviceImage after = encoder.encode(another_advice(), morning_ms);

    for (const AdviceRegister& entry : advice_registers) {
        const std::string_view name = entry.name.view();
        const bool fixed = name == "expiry" || (entry.block == "identity" && !name.starts_with("identity."));
        EXPECT_EQ(raw(before, entry) == raw(after, entry), fixed) << name;
    }
}

TEST(AdviceEncoder, writes_nothing_for_a_pump_that_the_station_does_not_have) {
    AdviceEncoder encoder(four_pumps, scan_ms, expiry_ms);
    const AdviceImage& image = encoder.encode(another_advice(), morning_ms);
    for (const AdviceRegister& entry : advice_registers) {
        if (!entry.name.view().starts_with("pump_5.")) continue;
        EXPECT_EQ(raw(image, entry), 0U) << entry.name.view();
    }
}

TEST(AdviceEncoder, gives_every_block_the_counter_of_the_scan) {
    AdviceEncoder encoder(four_pumps, scan_ms, expiry_ms);
    const AdviceImage& image = encoder.encode(a_hand_over(), morning_ms);
    for (const AdviceRegister& entry : advice_registers) {
        const std::string_view name = entry.name.view();
        if (!name.ends_with("scan_first") && !name.ends_with("scan_last")) continue;
        EXPECT_EQ(raw(image, entry), 70000U) << name;
    }
}

TEST(AdviceEncoder, gives_the_same_image_whatever_it_encoded_before) {
    AdviceEncoder fresh(four_pumps, scan_ms, expiry_ms);
    AdviceEncoder used(four_pumps, scan_ms, expiry_ms);
    core::Advice other = a_hand_over();
    other.speed_hz = 42;
    other.station_alarm_marks = {};
    other.pump_alarm_marks[0] = {1, 2, 4, 8};
    other.transmitters = {};
    other.figures[2] = {60'000, 9, 9, 9};
    other.pumps[3] = {true, true, core::PumpState::locked_out};
    used.encode(other, morning_ms);

    EXPECT_EQ(used.encode(a_hand_over(), morning_ms), fresh.encode(a_hand_over(), morning_ms));
}

TEST(AdviceRead, is_not_whole_when_the_scan_counters_differ) {
    AdviceEncoder encoder(four_pumps, scan_ms, expiry_ms);
    AdviceImage torn = encoder.encode(a_hand_over(), morning_ms);
    ++torn[advice_register("advice.scan_last").address + 1U];

    EXPECT_FALSE(decode_advice(block_of(torn, advice_block("advice"))).whole);
}

TEST(AdviceRead, replaces_a_code_that_it_does_not_know) {
    AdviceEncoder encoder(four_pumps, scan_ms, expiry_ms);
    AdviceImage image = encoder.encode(a_hand_over(), morning_ms);
    image[advice_register("service").address] = 99;
    image[advice_register("step").address] = static_cast<std::uint16_t>(core::Step::count);
    image[advice_register("next.pump").address] = 9;

    const AdviceRead read = decode_advice(block_of(image, advice_block("advice")));

    EXPECT_EQ(read.service, core::Service::waiting);
    EXPECT_EQ(read.step, core::Step::idle);
    EXPECT_EQ(read.next.pump, core::no_pump);
}

TEST(AdviceIdentity, is_not_ours_with_another_major_version_or_a_wrong_test_pattern) {
    AdviceImage image = AdviceEncoder(four_pumps, scan_ms, expiry_ms).image();
    const auto identity = [&] { return decode_identity(block_of(image, advice_block("identity"))); };
    ASSERT_TRUE(identity().ours);

    ++image[advice_register("map_version_minor").address];
    EXPECT_TRUE(identity().ours) << "a minor version only adds";
    ++image[advice_register("map_version_major").address];
    EXPECT_FALSE(identity().ours);
    --image[advice_register("map_version_major").address];
    std::swap(image[advice_register("test_float").address],
              image[advice_register("test_float").address + 1U]);
    EXPECT_FALSE(identity().ours) << "words swapped";
}

// --- when advice is void ---

AdviceRead read_of(std::uint32_t scan_count, std::int64_t time_ms) {
    AdviceRead read;
    read.whole = true;
    read.scan_count = scan_count;
    read.time_ms = time_ms;
    read.expiry_ms = expiry_ms;
    return read;
}

TEST(AdviceWatch, has_no_advice_before_the_first_scan) {
    AdviceWatch watch;
    EXPECT_EQ(watch.judge(AdviceRead{}, morning_ms), Validity::none_yet);
    EXPECT_EQ(watch.judge_silence(morning_ms), Validity::none_yet);
}

TEST(AdviceWatch, keeps_advice_valid_until_its_counter_has_not_changed_for_longer_than_the_expiry) {
    AdviceWatch watch;
    EXPECT_EQ(watch.judge(read_of(1, morning_ms), morning_ms), Validity::valid);
    EXPECT_EQ(watch.judge(read_of(1, morning_ms), morning_ms + expiry_ms), Validity::valid);
    EXPECT_EQ(watch.judge(read_of(1, morning_ms), morning_ms + expiry_ms + 1), Validity::expired);
    // The controller is back.
    EXPECT_EQ(watch.judge(read_of(2, morning_ms + 6000), morning_ms + 6000), Validity::valid);
}

TEST(AdviceWatch, lets_the_last_advice_expire_while_no_read_is_possible) {
    AdviceWatch watch;
    watch.judge(read_of(1, morning_ms), morning_ms);
    EXPECT_EQ(watch.judge_silence(morning_ms + expiry_ms), Validity::valid);
    EXPECT_EQ(watch.judge_silence(morning_ms + expiry_ms + 1), Validity::expired);
}

TEST(AdviceWatch, does_not_trust_a_counter_that_has_not_changed_and_whose_time_is_of_another_clock) {
    AdviceWatch watch;
    EXPECT_EQ(watch.judge(read_of(500, morning_ms - 3'600'000), morning_ms), Validity::expired);
    EXPECT_EQ(watch.judge(read_of(501, morning_ms - 3'599'900), morning_ms + 100), Validity::valid);
}

TEST(AdviceWatch, calls_a_torn_read_torn_and_an_old_one_expired) {
    AdviceWatch watch;
    watch.judge(read_of(1, morning_ms), morning_ms);
    AdviceRead torn = read_of(2, morning_ms + 100);
    torn.whole = false;

    EXPECT_EQ(watch.judge(torn, morning_ms + 100), Validity::torn);
    EXPECT_EQ(watch.judge(torn, morning_ms + expiry_ms + 1), Validity::expired);
}

}  // namespace
}  // namespace freshet::modbus
