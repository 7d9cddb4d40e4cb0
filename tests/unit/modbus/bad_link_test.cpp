// A link that is lost, garbled or slow in station time: in one process, and over sockets in lockstep.
// One reason to change: how the bench simulates a bad link.
#include <gtest/gtest.h>

#include <array>
#include <chrono>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "hal/modbus/bench_people.hpp"
#include "hal/modbus/bench_registers.hpp"
#include "hal/modbus/boards.hpp"
#include "hal/modbus/field_encoder.hpp"
#include "hal/modbus/field_loop.hpp"
#include "hal/modbus/field_reader.hpp"
#include "hal/modbus/late_images.hpp"
#include "hal/modbus/read_server.hpp"
#include "tests/unit/modbus/site.hpp"

namespace freshet::modbus {
namespace {

using config::index_of;
using config::StationSignal;
using core::Cause;
using core::Quality;

std::int64_t front(const LateImages::Shown& shown) {
    return shown.image.front();
}

TEST(LateImages, show_the_present_image_while_answers_come_at_once) {
    LateImages late;
    const std::array<std::uint16_t, 1> image{7};
    const auto shown = late.pass(image, morning_ms, 0);
    EXPECT_EQ(front(shown), 7);
    EXPECT_EQ(shown.time_ms, morning_ms);
}

TEST(LateImages, stay_at_the_first_instant_until_the_first_late_answer_arrives) {
    LateImages late;
    for (std::uint16_t scan = 0; scan < 10; ++scan) {
        const std::array<std::uint16_t, 1> image{scan};
        const auto shown = late.pass(image, morning_ms + scan * 100, 300);
        const std::int64_t expected = scan < 3 ? 0 : scan - 3;
        EXPECT_EQ(front(shown), expected) << "scan " << scan;
        EXPECT_EQ(shown.time_ms, morning_ms + expected * 100) << "scan " << scan;
    }
}

TEST(LateImages, never_go_back_when_the_link_becomes_slower_and_catch_up_when_it_recovers) {
    LateImages late;
    std::int64_t last_ms = 0;
    for (std::uint16_t scan = 0; scan < 30; ++scan) {
        const std::array<std::uint16_t, 1> image{scan};
        const auto shown = late.pass(image, morning_ms + scan * 100, scan < 10 ? 200 : 900);
        EXPECT_GE(shown.time_ms, last_ms);
        last_ms = shown.time_ms;
    }
    const std::array<std::uint16_t, 1> image{30};
    EXPECT_EQ(front(late.pass(image, morning_ms + 3000, 0)), 30);
    EXPECT_EQ(front(late.pass(image, morning_ms + 3100, 500)), 30)
        << "the images of the first slow period are gone";
}

/// Voltage at every scan, frequency once a second, of two devices.
FieldPlan two_groups() {
    config::FieldMap map;
    map.groups = {{"fast", 100}, {"slow", 1000}};
    const auto add = [&map](StationSignal signal, std::uint8_t unit, std::uint8_t group) {
        config::FieldEntry entry;
        entry.signal = index_of(signal);
        entry.unit_id = unit;
        entry.type = config::WordType::u16;
        entry.group = group;
        map.entries.push_back(entry);
    };
    add(StationSignal::line_voltage, 1, 0);
    add(StationSignal::line_frequency, 247, 1);
    return compile(map).value();
}

config::Readings volts(double value) {
    config::Readings readings{};
    readings[index_of(StationSignal::line_voltage)] = value;
    readings[index_of(StationSignal::line_frequency)] = 60;
    return readings;
}

TEST(FieldLoop, discovers_a_lost_link_by_the_first_reading_and_gets_each_value_back_when_it_is_read_again) {
    FieldLoop loop(two_groups());
    loop.pass(volts(2300), morning_ms);

    const core::Inputs& inputs = loop.pass(volts(2300), morning_ms + 100, {Cause::link_lost});
    EXPECT_EQ(inputs.line.voltage_v.cause, Cause::link_lost);
    EXPECT_EQ(inputs.line.frequency_hz.cause, Cause::link_lost)
        << "the same link carries the signal, due or not";

    loop.pass(volts(2300), morning_ms + 200);
    EXPECT_EQ(inputs.line.voltage_v.cause, Cause::none);
    EXPECT_EQ(inputs.line.frequency_hz.cause, Cause::link_lost) << "not read since";
    EXPECT_EQ(inputs.line.frequency_hz.age_ms, 200);
    loop.pass(volts(2300), morning_ms + 1000);
    EXPECT_EQ(inputs.line.frequency_hz.cause, Cause::none);
    EXPECT_EQ(inputs.line.frequency_hz.age_ms, 0);
}

TEST(FieldLoop, carries_old_values_with_their_age_over_a_slow_link) {
    FieldLoop loop(two_groups());
    for (int scan = 0; scan <= 5; ++scan)
        loop.pass(volts(2300 + scan), morning_ms + scan * 100, {Cause::none, 300});
    const core::Inputs& inputs = loop.pass(volts(2306), morning_ms + 600, {Cause::none, 300});
    EXPECT_EQ(inputs.line.voltage_v.value, 2303);
    EXPECT_EQ(inputs.line.voltage_v.age_ms, 300);

    loop.pass(volts(2307), morning_ms + 700);
    EXPECT_EQ(inputs.line.voltage_v.value, 2307);
    EXPECT_EQ(inputs.line.voltage_v.age_ms, 0);
}

TEST(BenchRegisters, have_a_unit_id_that_the_map_leaves_free) {
    EXPECT_EQ(bench_unit(two_groups()), 246) << "the map uses 247";
}

TEST(BenchRegisters, read_back_as_they_were_written_and_as_nothing_when_the_run_is_over) {
    const BenchInstant instant = bench_instant(bench_registers({morning_ms, morning_ms - 300, {7, 9}}));
    EXPECT_EQ(instant.people, (config::PeopleCounts{7, 9}));
    EXPECT_EQ(instant.now_ms, morning_ms);
    EXPECT_EQ(instant.shown_ms, morning_ms - 300);
    EXPECT_FALSE(bench_instant(bench_registers({})).now_ms.has_value());
}

TEST(BenchPeople, order_once_for_each_count_that_grew_and_never_at_the_first_reading) {
    BenchPeople people;
    const core::Inputs quiet;
    EXPECT_FALSE(people.attend(quiet, {3, 3}).people.asks()) << "an earlier reset is not obeyed";
    const core::OperatorInputs reset = people.attend(quiet, {4, 3}).people;
    EXPECT_TRUE(reset.reset_emergency_stop);
    EXPECT_FALSE(reset.acknowledge_all);
    EXPECT_FALSE(people.attend(quiet, {4, 3}).people.asks());
    const core::OperatorInputs acknowledged = people.attend(quiet, {4, 4}).people;
    EXPECT_FALSE(acknowledged.reset_emergency_stop);
    EXPECT_TRUE(acknowledged.acknowledge_all);
    EXPECT_FALSE(people.attend(quiet, {0, 0}).people.asks()) << "a station that began again orders nothing";
    people.attend(quiet, {0xFFFF, 0});
    EXPECT_TRUE(people.attend(quiet, {0, 0}).people.reset_emergency_stop) << "the count begins again";
}

/// A simulated station's server and a reader in lockstep with it.
class LockstepLink : public testing::Test {
  protected:
    LockstepLink() : plan_(two_groups()), board_(plan_), encoder_(plan_), decoder_(plan_) {
        Served served{[this](const Request& request, std::span<std::uint16_t> out) {
                          return board_.read(request, out);
                      },
                      nullptr,
                      {},
                      [this](const Request& request) { return board_.bench_only(request); }};
        server_ = ReadServer::start({}, std::move(served)).value();
        link_ = std::make_unique<FieldLink>(plan_, TcpEndpoint{"127.0.0.1", std::to_string(server_->port())},
                                            ClientOptions{.response = std::chrono::milliseconds(2000)});
    }
    /// The station is at `now_ms`; its link shows the station of `shown_ms`.
    const core::Inputs& scan(double voltage_v, std::int64_t now_ms, std::int64_t shown_ms) {
        board_.publish(encoder_.encode(volts(voltage_v)), {now_ms, shown_ms});
        EXPECT_TRUE(link_->poll_in_lockstep()) << "a bad link does not affect the clock";
        EXPECT_EQ(link_->snapshot().plant_time_ms, now_ms);
        apply(link_->snapshot(), applied_, 0, decoder_);
        applied_ = link_->snapshot().batch;
        return decoder_.inputs_at(now_ms);
    }
    FieldPlan plan_;
    FieldBoard board_;
    FieldEncoder encoder_;
    FieldDecoder decoder_;
    std::unique_ptr<ReadServer> server_;
    std::unique_ptr<FieldLink> link_;
    std::uint64_t applied_ = 0;
};

TEST_F(LockstepLink, dates_values_by_the_instant_that_they_show) {
    const core::Inputs& inputs = scan(2300, morning_ms, morning_ms - 300);
    EXPECT_EQ(inputs.line.voltage_v.value, 2300);
    EXPECT_EQ(inputs.line.voltage_v.age_ms, 300);
}

TEST_F(LockstepLink, continues_instant_by_instant_while_the_site_registers_are_lost) {
    scan(2300, morning_ms, morning_ms);
    server_->conduct({.lost_to_requests = true});
    for (int step = 1; step <= 20; ++step) {
        const core::Inputs& inputs = scan(2310, morning_ms + step * 100, morning_ms + step * 100);
        EXPECT_EQ(inputs.line.voltage_v.cause, Cause::link_lost);
        EXPECT_EQ(inputs.line.frequency_hz.cause, Cause::link_lost);
        EXPECT_EQ(inputs.line.voltage_v.value, 2300);
        EXPECT_FALSE(link_->snapshot().link_up);
    }
    server_->conduct({});
    const core::Inputs& inputs = scan(2310, morning_ms + 2100, morning_ms + 2100);
    EXPECT_EQ(inputs.line.voltage_v.value, 2310) << "the next instant tries again, whatever the wall clock";
    EXPECT_EQ(inputs.line.frequency_hz.cause, Cause::link_lost) << "not read since";
    EXPECT_EQ(inputs.line.frequency_hz.age_ms, 2100);
}

TEST_F(LockstepLink, distinguishes_garbled_answers_from_missing_ones) {
    scan(2300, morning_ms, morning_ms);
    server_->conduct({.garbled = true});
    const core::Inputs& inputs = scan(2310, morning_ms + 100, morning_ms + 100);
    EXPECT_EQ(inputs.line.voltage_v.cause, Cause::undecodable);
    EXPECT_EQ(inputs.line.voltage_v.value, 2300);
}

TEST_F(LockstepLink, gets_late_answers_in_wall_time_where_the_station_runs_free) {
    board_.publish(encoder_.encode(volts(2300)));
    constexpr std::chrono::milliseconds late{150};
    server_->conduct({.late = late});
    const auto begun = std::chrono::steady_clock::now();
    link_->poll(morning_ms);
    EXPECT_GE(std::chrono::steady_clock::now() - begun, late);
    EXPECT_TRUE(link_->snapshot().link_up) << "late, but within the reader's limit";

    FieldLink hasty(plan_, TcpEndpoint{"127.0.0.1", std::to_string(server_->port())},
                    ClientOptions{.response = std::chrono::milliseconds(50)});
    hasty.poll(morning_ms);
    EXPECT_FALSE(hasty.snapshot().link_up) << "too late for the hasty reader";
}

TEST_F(LockstepLink, has_no_news_while_the_clock_does_not_move_and_learns_when_the_run_is_over) {
    scan(2300, morning_ms, morning_ms);
    EXPECT_FALSE(link_->poll_in_lockstep());
    board_.publish(encoder_.encode(volts(2300)), {});
    EXPECT_TRUE(link_->poll_in_lockstep());
    EXPECT_TRUE(link_->snapshot().clock_stopped);
}

TEST(FieldLink, finds_no_simulated_station_in_a_device_that_only_has_site_registers) {
    const FieldPlan plan = two_groups();
    // The link asks a unit that this device does not know for the bench's registers.
    config::FieldMap other;
    other.groups = {{"fast", 100}};
    config::FieldEntry entry;
    entry.signal = index_of(StationSignal::line_voltage);
    entry.unit_id = 246;
    entry.address = 100;
    entry.type = config::WordType::u16;
    other.entries = {entry};
    const FieldBoard site_only(compile(other).value());
    const auto server = ReadServer::start({}, {[&](const Request& request, std::span<std::uint16_t> out) {
                                                   return site_only.read(request, out);
                                               },
                                               nullptr,
                                               {}})
                            .value();
    FieldLink link(plan, TcpEndpoint{"127.0.0.1", std::to_string(server->port())}, {});
    EXPECT_FALSE(link.poll_in_lockstep());
    EXPECT_EQ(link.snapshot().trouble, "no simulated station answers there");
}

}  // namespace
}  // namespace freshet::modbus
