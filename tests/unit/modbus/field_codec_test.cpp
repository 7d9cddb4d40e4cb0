// The field map's plan of reads, and every signal from reading to register to input.
// One reason to change: how a signal becomes registers or an input.
#include "hal/modbus/field_decoder.hpp"
#include "hal/modbus/field_encoder.hpp"
#include "hal/modbus/field_loop.hpp"
#include "hal/modbus/field_plan.hpp"
#include "hal/modbus/poll_schedule.hpp"

#include <cmath>
#include <limits>
#include <random>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "hal/modbus/word_codec.hpp"
#include "tests/unit/modbus/site.hpp"

namespace freshet::modbus {
namespace {

using config::FieldEntry;
using config::FieldMap;
using config::index_of;
using config::PumpSignal;
using config::StationSignal;
using config::Table;
using config::WordOrder;
using config::WordType;
using core::Cause;
using core::Quality;
using testing::Contains;
using testing::HasSubstr;
using testing::SizeIs;

constexpr double nan_reading = std::numeric_limits<double>::quiet_NaN();

/// Builds maps in the order in which a file would have its lines; the first entry is on line 10.
class MapBuilder {
  public:
    MapBuilder() {
        map_.name = "test";
        map_.file = "map.toml";
        map_.groups = {{"scan", 100}};
    }
    MapBuilder& group(const char* name, std::int32_t period_ms) {
        map_.groups.push_back({name, period_ms});
        return *this;
    }
    MapBuilder& add(config::SignalIndex signal, std::uint16_t address, WordType type, double scale = 1,
                    double offset = 0) {
        FieldEntry entry;
        entry.signal = signal;
        entry.address = address;
        entry.type = type;
        entry.scale = scale;
        entry.offset = offset;
        entry.line = static_cast<std::uint32_t>(10 + map_.entries.size());
        entry.column = 3;
        map_.entries.push_back(entry);
        return *this;
    }
    MapBuilder& add_bit(config::SignalIndex signal, std::uint16_t address, std::uint8_t bit) {
        add(signal, address, WordType::bit);
        last().bit = bit;
        return *this;
    }
    FieldEntry& last() { return map_.entries.back(); }
    const FieldMap& map() const { return map_; }
    FieldPlan plan() const { return compile(map_).value(); }

  private:
    FieldMap map_;
};

config::Readings nothing_read() {
    config::Readings readings;
    readings.fill(nan_reading);
    return readings;
}

std::uint16_t word_at(const FieldPlan& plan, std::span<const std::uint16_t> image, std::size_t entry) {
    return image[plan.entries[entry].word];
}

// --- the plan ---

TEST(FieldPlan, reads_adjacent_registers_in_one_request) {
    const FieldPlan plan = MapBuilder()
                               .add(index_of(StationSignal::line_voltage), 2, WordType::u16)
                               .add(index_of(StationSignal::level_1_loop), 0, WordType::f32)
                               .plan();

    ASSERT_THAT(plan.blocks, SizeIs(1));
    EXPECT_EQ(plan.blocks[0].address, 0);
    EXPECT_EQ(plan.blocks[0].count, 3);
}

TEST(FieldPlan, never_reads_an_address_that_is_not_mapped) {
    const FieldPlan plan = MapBuilder()
                               .add(index_of(StationSignal::level_1_loop), 0, WordType::u16)
                               .add(index_of(StationSignal::line_voltage), 2, WordType::u16)
                               .plan();

    ASSERT_THAT(plan.blocks, SizeIs(2));
    EXPECT_EQ(plan.blocks[0].count, 1);
    EXPECT_EQ(plan.blocks[1].address, 2);
}

TEST(FieldPlan, never_reads_more_than_125_registers_at_once) {
    MapBuilder builder;
    for (std::uint16_t i = 0; i < 78; ++i)
        builder.add(static_cast<config::SignalIndex>(i), i * 2, WordType::f32);
    // Signals 3, 4 and 6 would be second forms of mapped loop signals.
    FieldMap map = builder.map();
    std::erase_if(map.entries, [](const FieldEntry& entry) {
        return entry.signal == 3 || entry.signal == 4 || entry.signal == 6;
    });
    std::uint16_t next = 0;
    for (FieldEntry& entry : map.entries) {
        entry.address = next;
        next = static_cast<std::uint16_t>(next + 2);
    }
    const FieldPlan plan = compile(map).value();

    ASSERT_THAT(plan.blocks, SizeIs(2));
    EXPECT_EQ(plan.blocks[0].count, 124) << "a float is not torn between two requests";
    EXPECT_EQ(plan.blocks[1].address, 124);
    EXPECT_EQ(plan.blocks[1].count, 150 - 124);
}

TEST(FieldPlan, keeps_units_tables_and_poll_groups_apart) {
    MapBuilder builder;
    builder.group("slow", 1000).add(index_of(StationSignal::line_voltage), 0, WordType::u16);
    builder.add(index_of(StationSignal::line_frequency), 1, WordType::u16).last().unit_id = 2;
    builder.add(index_of(StationSignal::drive_voltage), 2, WordType::u16).last().table =
        Table::holding_registers;
    builder.add(index_of(StationSignal::drive_frequency), 1, WordType::u16).last().group = 1;

    EXPECT_THAT(builder.plan().blocks, SizeIs(4));
}

TEST(FieldPlan, lets_bits_share_a_register) {
    const auto plan = compile(MapBuilder()
                                  .add_bit(index_of(StationSignal::high_float), 4, 0)
                                  .add_bit(index_of(StationSignal::low_float), 4, 1)
                                  .map());

    ASSERT_TRUE(plan.has_value());
    EXPECT_EQ(plan->blocks[0].count, 1);
}

TEST(FieldPlan, refuses_a_transmitter_given_both_as_current_and_as_level) {
    const auto plan = compile(MapBuilder()
                                  .add(index_of(StationSignal::level_1_loop), 0, WordType::u16)
                                  .add(index_of(StationSignal::level_1), 1, WordType::u16)
                                  .map());

    EXPECT_FALSE(plan.has_value());
}

// --- encode ---

TEST(FieldEncoder, scales_a_reading_into_counts) {
    const FieldPlan plan =
        MapBuilder().add(index_of(StationSignal::level_1_loop), 0, WordType::u16, 0.001).plan();
    FieldEncoder encoder(plan);
    config::Readings readings = nothing_read();
    readings[index_of(StationSignal::level_1_loop)] = 12.3456;

    EXPECT_EQ(word_at(plan, encoder.encode(readings), 0), 12346);
}

TEST(FieldEncoder, writes_a_missing_reading_as_not_available) {
    const FieldPlan plan =
        MapBuilder().add(index_of(StationSignal::level_1_loop), 0, WordType::u16, 0.001).plan();
    FieldEncoder encoder(plan);

    EXPECT_EQ(word_at(plan, encoder.encode(nothing_read()), 0), 0xFFFF);
}

TEST(FieldEncoder, follows_a_reading_that_changes_and_comes_back) {
    const FieldPlan plan = MapBuilder()
                               .add(index_of(StationSignal::line_voltage), 0, WordType::u16)
                               .add_bit(index_of(StationSignal::high_float), 1, 5)
                               .plan();
    FieldEncoder encoder(plan);
    config::Readings readings = nothing_read();
    for (const double volts : {2300.0, 2250.0, 2300.0}) {
        readings[index_of(StationSignal::line_voltage)] = volts;
        readings[index_of(StationSignal::high_float)] = volts < 2300 ? 1 : 0;
        const auto image = encoder.encode(readings);
        EXPECT_EQ(word_at(plan, image, 0), volts);
        EXPECT_EQ(word_at(plan, image, 1), volts < 2300 ? 0x20 : 0);
    }
}

TEST(FieldEncoder, writes_an_inverted_bit_as_zero_when_on) {
    MapBuilder builder;
    builder.add_bit(index_of(StationSignal::low_float), 0, 2).last().inverted = true;
    const FieldPlan plan = builder.plan();
    FieldEncoder encoder(plan);
    config::Readings readings = nothing_read();

    readings[index_of(StationSignal::low_float)] = 1;
    EXPECT_EQ(word_at(plan, encoder.encode(readings), 0), 0);
    readings[index_of(StationSignal::low_float)] = 0;
    EXPECT_EQ(word_at(plan, encoder.encode(readings), 0), 4);
}

TEST(FieldEncoder, packs_bit_tables_sixteen_to_a_word) {
    MapBuilder builder;
    for (std::uint16_t i = 0; i < 4; ++i) {
        for (std::size_t signal = 0; signal < 4; ++signal) {
            builder
                .add(index_of(i, static_cast<PumpSignal>(signal)),
                     static_cast<std::uint16_t>(100 + i * 4 + signal), WordType::bit)
                .last()
                .table = Table::discrete_inputs;
        }
    }
    builder.add(index_of(StationSignal::high_float), 116, WordType::bit).last().table =
        Table::discrete_inputs;
    const FieldPlan plan = builder.plan();
    FieldEncoder encoder(plan);
    config::Readings readings = nothing_read();
    readings[index_of(2, PumpSignal::line_side_closed)] = 1;
    readings[index_of(StationSignal::high_float)] = 1;

    const auto image = encoder.encode(readings);

    ASSERT_THAT(plan.blocks, SizeIs(1));
    EXPECT_EQ(plan.blocks[0].count, 17);
    EXPECT_EQ(image[0], 1U << 9U);
    EXPECT_EQ(image[1], 1U);
}

// --- decode ---

TEST(FieldDecoder, reports_a_signal_without_a_register_as_not_fitted) {
    const FieldPlan plan =
        MapBuilder().add(index_of(StationSignal::level_1_loop), 0, WordType::u16, 0.001).plan();
    FieldDecoder decoder(plan);
    const core::Inputs& inputs = decoder.inputs_at(morning_ms);

    EXPECT_EQ(inputs.level[1].reading.cause, Cause::not_fitted);
    EXPECT_EQ(inputs.drive.ready.cause, Cause::not_fitted);
    EXPECT_EQ(inputs.level[0].reading.cause, Cause::never_read);
    EXPECT_EQ(inputs.level[0].reading.quality, Quality::bad);
}

TEST(FieldDecoder, gives_loop_current_and_leaves_the_level_to_the_core) {
    const FieldPlan plan =
        MapBuilder().add(index_of(StationSignal::level_1_loop), 0, WordType::u16, 0.001).plan();
    FieldDecoder decoder(plan);
    const std::uint16_t words[4] = {12000, 0, 0, 0};

    decoder.take(0, words, morning_ms);

    const core::Transmitter& level = decoder.inputs_at(morning_ms + 20).level[0];
    EXPECT_DOUBLE_EQ(level.loop_ma, 12.0);
    EXPECT_EQ(level.reading.age_ms, 20);
    EXPECT_EQ(level.reading.quality, Quality::good);
}

TEST(FieldDecoder, gives_a_level_where_the_site_gives_level) {
    const FieldPlan plan =
        MapBuilder().add(index_of(StationSignal::level_1), 0, WordType::s16, 0.001, 100).plan();
    FieldDecoder decoder(plan);
    const std::uint16_t words[4] = {static_cast<std::uint16_t>(-1500), 0, 0, 0};

    decoder.take(0, words, morning_ms);

    const core::Transmitter& level = decoder.inputs_at(morning_ms).level[0];
    EXPECT_DOUBLE_EQ(level.reading.value, 98.5);
    EXPECT_TRUE(std::isnan(level.loop_ma));
}

TEST(FieldDecoder, renews_the_age_of_words_that_did_not_change) {
    const FieldPlan plan = MapBuilder().add(index_of(StationSignal::line_voltage), 0, WordType::u16).plan();
    FieldDecoder decoder(plan);
    const std::uint16_t words[4] = {2300, 0, 0, 0};
    decoder.take(0, words, morning_ms);

    decoder.take(0, words, morning_ms + 100);

    EXPECT_EQ(decoder.inputs_at(morning_ms + 100).line.voltage_v.age_ms, 0);
    EXPECT_EQ(decoder.inputs_at(morning_ms + 100).line.voltage_v.value, 2300);
}

TEST(FieldDecoder, keeps_the_last_value_and_counts_its_age_while_a_value_cannot_be_decoded) {
    const FieldPlan plan = MapBuilder().add(index_of(StationSignal::line_voltage), 0, WordType::u16).plan();
    FieldDecoder decoder(plan);
    const std::uint16_t good[4] = {2300, 0, 0, 0};
    const std::uint16_t not_there[4] = {0xFFFF, 0, 0, 0};
    decoder.take(0, good, morning_ms);

    decoder.take(0, not_there, morning_ms + 100);
    decoder.take(0, not_there, morning_ms + 200);

    const core::Analog& voltage = decoder.inputs_at(morning_ms + 200).line.voltage_v;
    EXPECT_EQ(voltage.quality, Quality::bad);
    EXPECT_EQ(voltage.cause, Cause::undecodable);
    EXPECT_EQ(voltage.value, 2300);
    EXPECT_EQ(voltage.age_ms, 200);

    decoder.take(0, good, morning_ms + 300);
    decoder.inputs_at(morning_ms + 310);
    EXPECT_EQ(voltage.quality, Quality::good);
    EXPECT_EQ(voltage.cause, Cause::none);
    EXPECT_EQ(voltage.age_ms, 10);
}

TEST(FieldDecoder, takes_no_value_from_a_float_that_is_not_a_number) {
    const FieldPlan plan = MapBuilder().add(index_of(StationSignal::level_1), 0, WordType::f32).plan();
    FieldDecoder decoder(plan);
    const std::uint16_t nan_words[4] = {0x7FC0, 0x0001, 0, 0};

    decoder.take(0, nan_words, morning_ms);

    const core::Analog& level = decoder.inputs_at(morning_ms).level[0].reading;
    EXPECT_EQ(level.quality, Quality::bad);
    EXPECT_EQ(level.cause, Cause::undecodable);
    EXPECT_EQ(level.value, 0);
}

TEST(FieldDecoder, keeps_everything_of_a_failed_read_with_its_age_and_the_cause) {
    const FieldPlan plan = MapBuilder()
                               .add(index_of(StationSignal::line_voltage), 0, WordType::u16)
                               .add_bit(index_of(StationSignal::high_float), 1, 0)
                               .add(index_of(std::size_t{0}, PumpSignal::selector), 2, WordType::u16)
                               .plan();
    FieldDecoder decoder(plan);
    const std::uint16_t words[4] = {2300, 1, 2, 0};
    decoder.take(0, words, morning_ms);

    decoder.fail(0, Cause::link_lost);

    const core::Inputs& inputs = decoder.inputs_at(morning_ms + 500);
    EXPECT_EQ(inputs.line.voltage_v.cause, Cause::link_lost);
    EXPECT_EQ(inputs.line.voltage_v.value, 2300);
    EXPECT_EQ(inputs.line.voltage_v.age_ms, 500);
    EXPECT_EQ(inputs.high_float.quality, Quality::good) << "as good as its age allows";
    EXPECT_EQ(inputs.high_float.age_ms, 500);
    EXPECT_TRUE(inputs.high_float.on) << "the last state is kept";
    EXPECT_EQ(inputs.pumps[0].selector.position, core::Selector::automatic);
    EXPECT_EQ(inputs.pumps[0].selector.age_ms, 500);

    decoder.take(0, words, morning_ms + 600);
    decoder.inputs_at(morning_ms + 650);
    EXPECT_EQ(inputs.line.voltage_v.cause, Cause::none);
    EXPECT_EQ(inputs.line.voltage_v.age_ms, 50);
    EXPECT_EQ(inputs.high_float.cause, Cause::none);
}

TEST(FieldDecoder, takes_no_selector_position_that_does_not_exist) {
    const FieldPlan plan =
        MapBuilder().add(index_of(std::size_t{0}, PumpSignal::selector), 0, WordType::u16).plan();
    FieldDecoder decoder(plan);
    const std::uint16_t automatic[4] = {2, 0, 0, 0};
    const std::uint16_t nonsense[4] = {3, 0, 0, 0};
    decoder.take(0, automatic, morning_ms);

    decoder.take(0, nonsense, morning_ms + 100);

    const core::PumpInputs& pump = decoder.inputs_at(morning_ms + 100).pumps[0];
    EXPECT_EQ(pump.selector.position, core::Selector::automatic);
    EXPECT_EQ(pump.selector.quality, Quality::bad);
    EXPECT_EQ(pump.selector.age_ms, 100);
}

TEST(FieldDecoder, reads_the_plants_clock_in_every_word_order) {
    for (const WordOrder order : {WordOrder::abcd, WordOrder::cdab, WordOrder::badc, WordOrder::dcba}) {
        MapBuilder builder;
        builder.add(index_of(StationSignal::plant_time), 0, WordType::u64).last().order = order;
        const FieldPlan plan = builder.plan();
        FieldEncoder encoder(plan);
        FieldDecoder decoder(plan);
        config::Readings readings = nothing_read();
        readings[index_of(StationSignal::plant_time)] = static_cast<double>(morning_ms);

        decoder.take(0, encoder.encode(readings).data(), morning_ms);

        EXPECT_EQ(decoder.plant_time_ms(), morning_ms);
    }
}

TEST(FieldDecoder, takes_no_plant_clock_beyond_the_year_9999) {
    MapBuilder builder;
    builder.add(index_of(StationSignal::plant_time), 0, WordType::u64);
    const FieldPlan plan = builder.plan();
    FieldDecoder decoder(plan);
    const std::uint16_t all_ones[4] = {0xFFFF, 0xFFFF, 0xFFFF, 0xFFFF};

    decoder.take(0, all_ones, morning_ms);

    EXPECT_FALSE(decoder.plant_time_ms());
}

// --- round trip ---

/// Every signal of the dictionary once; types and orders take turns.
FieldPlan plan_of_all_signals() {
    MapBuilder builder;
    const WordType types[] = {WordType::u16, WordType::s32, WordType::f32, WordType::u32, WordType::s16};
    std::uint16_t address = 0;
    for (std::size_t i = 0; i < config::signal_count; ++i) {
        const auto signal = static_cast<config::SignalIndex>(i);
        const bool second_form = signal == index_of(StationSignal::level_1) ||
                                 signal == index_of(StationSignal::level_2) ||
                                 signal == index_of(StationSignal::header_pressure);
        if (second_form) continue;
        const auto& definition = config::definition_of(signal);
        WordType type = types[i % 5];
        if (definition.kind == config::SignalKind::digital) type = WordType::bit;
        if (definition.kind == config::SignalKind::number) type = WordType::u64;
        builder.add(signal, address, type, definition.kind == config::SignalKind::analog ? 0.01 : 1);
        builder.last().order = static_cast<WordOrder>(i % 4);
        address = static_cast<std::uint16_t>(address + words_of(type));
    }
    return builder.plan();
}

TEST(FieldLoop, carries_every_signal_within_half_a_count) {
    const FieldPlan plan = plan_of_all_signals();
    FieldLoop loop(plan);
    config::Readings readings{};
    for (std::size_t i = 0; i < readings.size(); ++i) readings[i] = 1 + static_cast<double>(i) * 0.137;
    for (std::size_t pump = 0; pump < config::pumps_max; ++pump) {
        for (std::size_t signal = 0; signal < 4; ++signal)
            readings[index_of(pump, static_cast<PumpSignal>(signal))] = 1;
        readings[index_of(pump, PumpSignal::selector)] = 2;
    }
    for (const auto signal :
         {StationSignal::high_float, StationSignal::drive_ready, StationSignal::drive_in_sync}) {
        readings[index_of(signal)] = 1;
    }
    readings[index_of(StationSignal::plant_time)] = static_cast<double>(morning_ms);
    constexpr double half_count = 0.005 + 1e-6;

    const core::Inputs& inputs = loop.pass(readings, morning_ms);

    EXPECT_NEAR(inputs.level[0].loop_ma, readings[index_of(StationSignal::level_1_loop)], half_count);
    EXPECT_NEAR(inputs.header_pressure.loop_ma, readings[index_of(StationSignal::header_pressure_loop)],
                half_count);
    EXPECT_NEAR(inputs.station_flow_m3s.value, readings[index_of(StationSignal::station_flow)], half_count);
    EXPECT_NEAR(inputs.drive.angle_deg.value, readings[index_of(StationSignal::drive_angle)], half_count);
    EXPECT_TRUE(inputs.high_float.on);
    EXPECT_TRUE(inputs.drive.in_sync.on);
    for (std::size_t pump = 0; pump < config::pumps_max; ++pump) {
        const core::PumpInputs& at = inputs.pumps[pump];
        EXPECT_TRUE(at.drive_side_closed.on && at.line_side_closed.on && at.tripped.on && at.seal_leak.on);
        EXPECT_EQ(at.selector.position, core::Selector::automatic);
        EXPECT_NEAR(at.current_a.value, readings[index_of(pump, PumpSignal::current)], half_count);
        EXPECT_NEAR(at.winding_temperature_k.value, readings[index_of(pump, PumpSignal::winding_temperature)],
                    half_count);
        EXPECT_EQ(at.current_a.quality, Quality::good);
    }
}

TEST(FieldLoop, reads_a_slow_group_only_when_it_is_due_by_station_time) {
    MapBuilder builder;
    builder.group("slow", 1000).add(index_of(StationSignal::line_voltage), 0, WordType::u16);
    builder.add(index_of(StationSignal::line_frequency), 10, WordType::u16).last().group = 1;
    const FieldPlan plan = builder.plan();
    FieldLoop loop(plan);
    config::Readings readings = nothing_read();

    for (std::int64_t now_ms = morning_ms; now_ms <= morning_ms + 900; now_ms += 100) {
        readings[index_of(StationSignal::line_voltage)] = 2300;
        readings[index_of(StationSignal::line_frequency)] =
            static_cast<double>((now_ms - morning_ms) / 100 + 1);
        const core::Inputs& inputs = loop.pass(readings, now_ms);
        EXPECT_EQ(inputs.line.voltage_v.age_ms, 0);
        EXPECT_EQ(inputs.line.frequency_hz.age_ms, now_ms - morning_ms);
        EXPECT_EQ(inputs.line.frequency_hz.value, 1);
    }
    EXPECT_EQ(loop.pass(readings, morning_ms + 1000).line.frequency_hz.value, 10);
}

/// All that a scan sees of pump signals and of the line, in one list.
std::vector<double> seen(const core::Inputs& inputs) {
    std::vector<double> list;
    const auto analog = [&](const core::Analog& at) {
        list.insert(list.end(), {at.value, static_cast<double>(at.age_ms), static_cast<double>(at.quality)});
    };
    const auto digital = [&](const core::Digital& at) {
        list.insert(list.end(),
                    {at.on ? 1.0 : 0.0, static_cast<double>(at.age_ms), static_cast<double>(at.quality)});
    };
    for (const core::PumpInputs& pump : inputs.pumps) {
        for (const auto* at :
             {&pump.drive_side_closed, &pump.line_side_closed, &pump.tripped, &pump.seal_leak})
            digital(*at);
        for (const auto* at : {&pump.current_a, &pump.winding_temperature_k}) analog(*at);
        list.insert(list.end(),
                    {static_cast<double>(pump.selector.position), static_cast<double>(pump.selector.age_ms)});
    }
    for (const auto* at : {&inputs.line.voltage_v, &inputs.line.frequency_hz, &inputs.drive.angle_deg})
        analog(*at);
    for (const auto* at : {&inputs.high_float, &inputs.low_float, &inputs.drive.in_sync}) digital(*at);
    return list;
}

TEST(FieldLoop, gives_the_same_inputs_as_a_reader_of_the_whole_image) {
    const FieldPlan plan = plan_of_all_signals();
    FieldLoop loop(plan);
    FieldEncoder encoder(plan);
    FieldDecoder decoder(plan);
    std::mt19937 random(20251125);
    config::Readings readings{};
    for (int scan = 0; scan < 3000; ++scan) {
        const std::int64_t now_ms = morning_ms + scan * 100;
        for (int change = 0; change < 3; ++change) {
            const std::size_t signal = random() % readings.size();
            readings[signal] = random() % 16 == 0 ? nan_reading : static_cast<double>(random() % 3);
        }
        const Cause link = random() % 50 == 0 ? Cause::link_lost : Cause::none;
        const auto image = encoder.encode(readings);
        for (std::size_t i = 0; i < plan.blocks.size(); ++i) {
            if (link == Cause::none) decoder.take(i, image.data() + plan.blocks[i].first_word, now_ms);
            if (link != Cause::none) decoder.fail(i, link);
        }
        ASSERT_EQ(seen(loop.pass(readings, now_ms, {link})), seen(decoder.inputs_at(now_ms)))
            << "scan " << scan;
    }
}

TEST(FieldLoop, gives_the_cause_and_the_age_of_readings_while_the_link_is_lost) {
    const FieldPlan plan = MapBuilder().add(index_of(StationSignal::line_voltage), 0, WordType::u16).plan();
    FieldLoop loop(plan);
    config::Readings readings = nothing_read();
    readings[index_of(StationSignal::line_voltage)] = 2300;
    loop.pass(readings, morning_ms);

    const core::Inputs& inputs = loop.pass(readings, morning_ms + 100, {Cause::link_lost});

    EXPECT_EQ(inputs.line.voltage_v.cause, Cause::link_lost);
    EXPECT_EQ(inputs.line.voltage_v.age_ms, 100);
}

TEST(PollSchedule, keeps_its_periods_when_a_scan_comes_late) {
    MapBuilder builder;
    builder.group("slow", 1000).add(index_of(StationSignal::line_voltage), 0, WordType::u16).last().group = 1;
    PollSchedule schedule(builder.plan());

    schedule.advance(morning_ms);
    EXPECT_TRUE(schedule.due(1));
    schedule.advance(morning_ms + 1700);
    EXPECT_TRUE(schedule.due(1)) << "due once, although the scan was late";
    schedule.advance(morning_ms + 1800);
    EXPECT_FALSE(schedule.due(1));
    schedule.advance(morning_ms + 2000);
    EXPECT_TRUE(schedule.due(1)) << "the periods did not shift";
}

}  // namespace
}  // namespace freshet::modbus
