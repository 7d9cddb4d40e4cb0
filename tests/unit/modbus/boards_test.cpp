// The registers that the servers show: which addresses and unit ids are answered, and with which values.
// One reason to change: which reads are answered.
#include "hal/modbus/boards.hpp"

#include <gtest/gtest.h>

#include "hal/modbus/advice_encoder.hpp"
#include "hal/modbus/field_encoder.hpp"
#include "tests/unit/modbus/site.hpp"

namespace freshet::modbus {
namespace {

using config::FieldEntry;
using config::FieldMap;
using config::index_of;
using config::StationSignal;
using config::Table;
using config::WordType;

Request read_of(Table table, std::uint16_t address, std::uint16_t quantity, std::uint8_t unit = 1) {
    Request request;
    request.table = table;
    request.kind = table == Table::coils || table == Table::discrete_inputs ? RequestKind::read_bits
                                                                            : RequestKind::read_registers;
    request.address = address;
    request.quantity = quantity;
    request.unit_id = unit;
    return request;
}

/// Voltage and frequency side by side in two poll groups, floats as discrete inputs, the clock on unit 1.
FieldPlan small_plan() {
    FieldMap map;
    map.groups = {{"fast", 100}, {"slow", 1000}};
    map.entries = {entry(StationSignal::plant_time, Table::input_registers, 0, WordType::u64),
                   entry(StationSignal::line_voltage, Table::input_registers, 4, WordType::u16),
                   entry(StationSignal::line_frequency, Table::input_registers, 5, WordType::u16, 1),
                   entry(StationSignal::high_float, Table::discrete_inputs, 30, WordType::bit),
                   entry(StationSignal::low_float, Table::discrete_inputs, 31, WordType::bit)};
    return compile(map).value();
}

class FieldBoardTest : public testing::Test {
  protected:
    FieldBoardTest() : plan_(small_plan()), board_(plan_), encoder_(plan_) {
        config::Readings readings{};
        readings[index_of(StationSignal::line_voltage)] = 2300;
        readings[index_of(StationSignal::line_frequency)] = 60;
        readings[index_of(StationSignal::low_float)] = 1;
        board_.publish(encoder_.encode(readings));
    }
    Exception read(const Request& request) {
        values_.assign(request.quantity, 0xAAAA);
        return board_.read(request, values_);
    }
    FieldPlan plan_;
    FieldBoard board_;
    FieldEncoder encoder_;
    std::vector<std::uint16_t> values_;
};

TEST_F(FieldBoardTest, answers_a_read_that_covers_two_poll_groups) {
    ASSERT_EQ(read(read_of(Table::input_registers, 4, 2)), Exception::none);
    EXPECT_EQ(values_, (std::vector<std::uint16_t>{2300, 60}));
}

TEST_F(FieldBoardTest, answers_bits_one_by_one) {
    ASSERT_EQ(read(read_of(Table::discrete_inputs, 30, 2)), Exception::none);
    EXPECT_EQ(values_, (std::vector<std::uint16_t>{0, 1}));
}

TEST_F(FieldBoardTest, refuses_an_unmapped_address_with_exception_02) {
    EXPECT_EQ(read(read_of(Table::input_registers, 5, 2)), Exception::illegal_address);
    EXPECT_EQ(read(read_of(Table::holding_registers, 4, 1)), Exception::illegal_address);
    EXPECT_EQ(read(read_of(Table::coils, 30, 1)), Exception::illegal_address);
}

TEST_F(FieldBoardTest, answers_a_unit_id_without_a_device_with_the_exception_for_no_device) {
    EXPECT_EQ(read(read_of(Table::input_registers, 4, 1, 9)), Exception::no_answer_behind);
}

TEST_F(FieldBoardTest, lets_only_a_read_of_the_clock_wait_for_news) {
    EXPECT_EQ(board_.version(read_of(Table::input_registers, 4, 2)), 0U);
    const Request clock = read_of(Table::input_registers, 0, 5);
    const std::uint64_t before = board_.version(clock);
    EXPECT_NE(before, 0U);
    board_.publish(std::vector<std::uint16_t>(plan_.image_words, 0));
    EXPECT_GT(board_.version(clock), before);
}

TEST(AdviceBoard, shows_the_map_as_input_and_as_holding_registers) {
    const AdviceBoard board(AdviceEncoder(4, 100, 5000).image());
    const AdviceRegister& id = advice_register("map_id");
    for (const Table table : {Table::input_registers, Table::holding_registers}) {
        std::uint16_t value = 0;
        ASSERT_EQ(board.read(read_of(table, id.address, 1), std::span(&value, 1)), Exception::none);
        EXPECT_EQ(value, map_id);
    }
    std::uint16_t value = 0;
    EXPECT_EQ(board.read(read_of(Table::coils, id.address, 1), std::span(&value, 1)),
              Exception::illegal_address);
}

}  // namespace
}  // namespace freshet::modbus
