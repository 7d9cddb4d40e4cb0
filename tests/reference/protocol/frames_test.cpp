// Our parser and answers against the frames and limits that the protocol specifications print.
// One reason to change: a value of those specifications.
//
// Sources:
// [AP]  MODBUS Application Protocol Specification V1.1b3, 26 April 2012,
//       modbus.org/file/secure/modbusprotocolspecification.pdf
// [TCP] MODBUS Messaging on TCP/IP Implementation Guide V1.0b, modbus.org; as quoted in public code, the
//       guide itself was not read
#include <algorithm>
#include <cctype>
#include <map>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "hal/modbus/boards.hpp"
#include "hal/modbus/mbap_parser.hpp"
#include "hal/modbus/request_limits.hpp"

namespace freshet::modbus {
namespace {

using Bytes = std::vector<std::uint8_t>;

Bytes bytes_of(const std::string& hex) {
    Bytes bytes;
    std::string digits;
    for (const char letter : hex) {
        if (letter == ' ') continue;
        digits += letter;
        if (digits.size() == 2) {
            bytes.push_back(static_cast<std::uint8_t>(std::stoul(digits, nullptr, 16)));
            digits.clear();
        }
    }
    return bytes;
}

/// A device of the specification's examples. It holds values by table and address; no other address exists.
class ExampleDevice {
  public:
    ExampleDevice& registers(config::Table table, std::uint16_t first, std::vector<std::uint16_t> values) {
        for (const std::uint16_t value : values) values_[{table, first++}] = value;
        return *this;
    }
    /// Bits as the specification prints them: packed, lowest address in the lowest bit of the first byte.
    ExampleDevice& bits(config::Table table, std::uint16_t first, std::size_t count,
                        const std::string& packed) {
        const Bytes bytes = bytes_of(packed);
        for (std::size_t i = 0; i < count; ++i) {
            values_[{table, static_cast<std::uint16_t>(first + i)}] = (bytes[i / 8] >> (i % 8)) & 1U;
        }
        return *this;
    }

    /// The bytes that answer a whole frame; empty for no answer.
    Bytes answer_to(const Bytes& frame) const {
        const Parsed parsed = parse(frame);
        if (parsed.outcome != ParseOutcome::request || parsed.consumed != frame.size()) return {};
        const ReadValues read = [this](const Request& request, std::span<std::uint16_t> out) {
            for (std::size_t i = 0; i < out.size(); ++i) {
                const auto found =
                    values_.find({request.table, static_cast<std::uint16_t>(request.address + i)});
                if (found == values_.end()) return Exception::illegal_address;
                out[i] = found->second;
            }
            return Exception::none;
        };
        // [AP] 6.21 p45: the basic identification of the example.
        const DeviceIdentification identification{
            "Company identification", "Product code XX", "V2.11", "", "", ""};
        std::array<std::uint8_t, frame_bytes_max> out{};
        const std::size_t size = answer(parsed.request, read, identification, out);
        return {out.begin(), out.begin() + static_cast<std::ptrdiff_t>(size)};
    }

    /// The PDU that answers a request PDU, with an MBAP header added and taken off again.
    Bytes pdu_to(const std::string& request) const {
        const Bytes pdu = bytes_of(request);
        Bytes frame = {0x00, 0x2A, 0x00, 0x00, 0x00, static_cast<std::uint8_t>(pdu.size() + 1), 0x11};
        frame.insert(frame.end(), pdu.begin(), pdu.end());
        const Bytes answer = answer_to(frame);
        if (answer.size() < header_bytes) return {};
        EXPECT_EQ(Bytes(answer.begin(), answer.begin() + 4), (Bytes{0x00, 0x2A, 0x00, 0x00}));
        EXPECT_EQ(answer[6], 0x11);
        return {answer.begin() + header_bytes, answer.end()};
    }

  private:
    std::map<std::pair<config::Table, std::uint16_t>, std::uint16_t> values_;
};

using config::Table;

TEST(Frames, a_read_of_coils_20_to_38_is_answered_as_printed) {  // [AP] 6.1 p12
    ExampleDevice device;
    device.bits(Table::coils, 0x13, 0x13, "CD 6B 05");
    EXPECT_EQ(device.pdu_to("01 00 13 00 13"), bytes_of("01 03 CD 6B 05"));
}

TEST(Frames, a_read_of_discrete_inputs_197_to_218_is_answered_as_printed) {  // [AP] 6.2 p13
    ExampleDevice device;
    device.bits(Table::discrete_inputs, 0xC4, 0x16, "AC DB 35");
    EXPECT_EQ(device.pdu_to("02 00 C4 00 16"), bytes_of("02 03 AC DB 35"));
}

TEST(Frames, a_read_of_holding_registers_108_to_110_is_answered_as_printed) {  // [AP] 6.3 p15
    ExampleDevice device;
    device.registers(Table::holding_registers, 0x6B, {555, 0, 100});
    EXPECT_EQ(device.pdu_to("03 00 6B 00 03"), bytes_of("03 06 02 2B 00 00 00 64"));
}

TEST(Frames, a_read_of_input_register_9_is_answered_as_printed) {  // [AP] 6.4 p16-17
    ExampleDevice device;
    device.registers(Table::input_registers, 8, {10});
    EXPECT_EQ(device.pdu_to("04 00 08 00 01"), bytes_of("04 02 00 0A"));
}

TEST(Frames, a_read_of_the_basic_identification_is_answered_as_printed) {
    // [AP] 6.21 p45. The specification prints the length 0D for object 01. "Product code XX" has 15
    // characters, so this test has 0F.
    EXPECT_EQ(ExampleDevice().pdu_to("2B 0E 01 00").size(),
              bytes_of("2B 0E 01 01 00 00 03 00 16 43 6F 6D 70 61 6E 79 20 69 64 65 6E 74 69 66 69 63 61 74 "
                       "69 6F 6E 01 0F "
                       "50 72 6F 64 75 63 74 20 63 6F 64 65 20 58 58 02 05 56 32 2E 31 31")
                  .size());
    Bytes answer = ExampleDevice().pdu_to("2B 0E 01 00");
    // The example device has conformity level 01. This device also has regular objects and individual access,
    // which is level 82.
    ASSERT_EQ(answer[3], 0x82);
    answer[3] = 0x01;
    EXPECT_EQ(answer, bytes_of("2B 0E 01 01 00 00 03 00 16 43 6F 6D 70 61 6E 79 20 69 64 65 6E 74 69 66 69 "
                               "63 61 74 69 6F 6E 01 0F "
                               "50 72 6F 64 75 63 74 20 63 6F 64 65 20 58 58 02 05 56 32 2E 31 31"));
}

TEST(Frames, an_identification_of_an_illegal_code_or_an_unknown_object_is_refused) {  // [AP] 6.21 p44
    EXPECT_EQ(ExampleDevice().pdu_to("2B 0E 05 00"), bytes_of("AB 03"));
    EXPECT_EQ(ExampleDevice().pdu_to("2B 0E 04 FF"), bytes_of("AB 02"));
}

TEST(Frames, an_output_that_does_not_exist_is_an_illegal_address) {  // [AP] 7 p47
    EXPECT_EQ(ExampleDevice().pdu_to("01 04 A1 00 01"), bytes_of("81 02"));
}

TEST(Frames, a_function_code_that_is_not_served_is_an_illegal_function) {  // [AP] Fig 11 p12
    EXPECT_EQ(ExampleDevice().pdu_to("42"), bytes_of("C2 01"));
}

TEST(Frames, quantities_outside_their_limits_are_illegal_values) {  // [AP] Figs 11 to 14, p12-17
    const ExampleDevice device;
    EXPECT_EQ(device.pdu_to("03 00 00 00 00"), bytes_of("83 03"));
    EXPECT_EQ(device.pdu_to("03 00 00 00 7E"), bytes_of("83 03"));
    EXPECT_EQ(device.pdu_to("04 00 00 00 7E"), bytes_of("84 03"));
    EXPECT_EQ(device.pdu_to("01 00 00 07 D1"), bytes_of("81 03"));
    EXPECT_EQ(device.pdu_to("02 00 00 00 00"), bytes_of("82 03"));
}

TEST(Frames, a_request_bad_in_quantity_and_address_is_answered_for_its_quantity) {  // [AP] Fig 13 p16
    ExampleDevice device;
    device.registers(Table::holding_registers, 0, std::vector<std::uint16_t>(100, 0));
    EXPECT_EQ(device.pdu_to("03 00 63 00 7E"), bytes_of("83 03"));
}

TEST(Frames, a_device_of_100_registers_answers_4_from_96_but_not_5) {  // [AP] 7 p48
    ExampleDevice device;
    device.registers(Table::holding_registers, 0, std::vector<std::uint16_t>(100, 7));
    EXPECT_EQ(device.pdu_to("03 00 60 00 04"), bytes_of("03 08 00 07 00 07 00 07 00 07"));
    EXPECT_EQ(device.pdu_to("03 00 60 00 05"), bytes_of("83 02"));
}

TEST(Frames, every_example_of_a_write_is_refused_with_exception_01) {
    // The requests are those of [AP] 6.5 to 6.17 p18-38. A device that accepts a write answers with an echo.
    // This device has no write.
    const ExampleDevice device;
    EXPECT_EQ(device.pdu_to("05 00 AC FF 00"), bytes_of("85 01"));
    EXPECT_EQ(device.pdu_to("06 00 01 00 03"), bytes_of("86 01"));
    EXPECT_EQ(device.pdu_to("0F 00 13 00 0A 02 CD 01"), bytes_of("8F 01"));
    EXPECT_EQ(device.pdu_to("10 00 01 00 02 04 00 0A 01 02"), bytes_of("90 01"));
    EXPECT_EQ(device.pdu_to("15 0D 06 00 04 00 07 00 03 06 AF 04 BE 10 0D"), bytes_of("95 01"));
    EXPECT_EQ(device.pdu_to("16 00 04 00 F2 00 25"), bytes_of("96 01"));
    EXPECT_EQ(device.pdu_to("17 00 03 00 06 00 0E 00 03 06 00 FF 00 FF 00 FF"), bytes_of("97 01"));
}

TEST(Frames, a_function_for_serial_lines_or_files_is_an_illegal_function_here) {
    // [AP] 6.7 to 6.9 p20-26 (serial line only), 6.14 p33 and 6.18 p40 (optional functions).
    const ExampleDevice device;
    EXPECT_EQ(device.pdu_to("07"), bytes_of("87 01"));
    EXPECT_EQ(device.pdu_to("08 00 00 A5 37"), bytes_of("88 01"));
    EXPECT_EQ(device.pdu_to("0B"), bytes_of("8B 01"));
    EXPECT_EQ(device.pdu_to("14 0E 06 00 04 00 01 00 02 06 00 03 00 09 00 02"), bytes_of("94 01"));
    EXPECT_EQ(device.pdu_to("18 04 DE"), bytes_of("98 01"));
}

TEST(Frames,
     a_read_in_a_whole_tcp_frame_is_answered_in_a_whole_tcp_frame) {  // [AP] 6.3 in the header of [TCP] 3.1.3
    ExampleDevice device;
    device.registers(Table::holding_registers, 0x6B, {555, 0, 100});
    EXPECT_EQ(device.answer_to(bytes_of("00 01 00 00 00 06 11 03 00 6B 00 03")),
              bytes_of("00 01 00 00 00 09 11 03 06 02 2B 00 00 00 64"));
}

TEST(Frames, an_exception_is_answered_in_a_whole_tcp_frame) {  // [AP] 7 in the header of [TCP] 3.1.3
    EXPECT_EQ(ExampleDevice().answer_to(bytes_of("00 03 00 00 00 06 01 01 04 A1 00 01")),
              bytes_of("00 03 00 00 00 03 01 81 02"));
}

TEST(Frames, a_write_in_a_whole_tcp_frame_is_refused) {  // request of [AP] 6.12 in the header of [TCP] 3.1.3
    EXPECT_EQ(ExampleDevice().answer_to(bytes_of("00 02 00 00 00 0B FF 10 00 01 00 02 04 00 0A 01 02")),
              bytes_of("00 02 00 00 00 03 FF 90 01"));
}

// The request: [TCP] 4.4.1, from memory. The value is invented.
TEST(Frames, a_read_of_one_word_at_address_5_is_answered) {
    ExampleDevice device;
    device.registers(Table::input_registers, 5, {0x1234});
    EXPECT_EQ(device.answer_to(bytes_of("15 01 00 00 00 06 FF 04 00 05 00 01")),
              bytes_of("15 01 00 00 00 05 FF 04 02 12 34"));
}

TEST(Limits, a_frame_has_at_most_260_bytes_of_which_253_are_pdu) {  // [AP] 4.1 p5
    EXPECT_EQ(frame_bytes_max, 260U);
    EXPECT_EQ(frame_bytes_max - header_bytes, 253U);
    EXPECT_EQ(header_bytes, 7U);  // [TCP] 3.1.3 p5
}

TEST(Limits,
     the_largest_reads_are_answered_within_a_pdu) {  // [AP] 6.1 p11 to 6.4 p16: 2000 bits, 125 registers
    ExampleDevice device;
    device.registers(Table::holding_registers, 0, std::vector<std::uint16_t>(125, 1));
    device.registers(Table::coils, 0, std::vector<std::uint16_t>(2000, 1));
    EXPECT_EQ(device.pdu_to("03 00 00 00 7D").size(), 252U);
    const Bytes bits = device.pdu_to("01 00 00 07 D0");
    EXPECT_EQ(bits.size(), 252U);
    EXPECT_EQ(bits[1], 250);
    EXPECT_EQ(registers_per_read_max, 125U);
    EXPECT_EQ(bits_per_read_max, 2000U);
}

TEST(Limits, bits_after_the_last_requested_bit_are_zero) {  // [AP] 6.1 p11
    ExampleDevice device;
    device.registers(Table::coils, 0, std::vector<std::uint16_t>(16, 1));
    EXPECT_EQ(device.pdu_to("01 00 00 00 0B"), bytes_of("01 02 FF 07"));
}

TEST(Limits, tests_come_in_the_order_function_quantity_address) {  // [AP] Figs 11-22
    const ExampleDevice nothing_mapped;
    EXPECT_EQ(nothing_mapped.pdu_to("42 FF FF FF FF"), bytes_of("C2 01"));
    EXPECT_EQ(nothing_mapped.pdu_to("03 FF FF FF FF"), bytes_of("83 03"));
    EXPECT_EQ(nothing_mapped.pdu_to("03 FF FF 00 01"), bytes_of("83 02"));
}

TEST(Limits, an_exception_repeats_the_function_code_with_its_high_bit_set) {  // [AP] 7 p47
    for (int code = 1; code <= 4; ++code) {
        char text[32];
        (void)std::snprintf(text, sizeof text, "%02X 00 00 00 00", static_cast<unsigned>(code));
        EXPECT_EQ(ExampleDevice().pdu_to(text)[0], code + 0x80);
    }
}

TEST(Limits,
     a_frame_that_is_not_modbus_gets_no_answer) {  // [AP] 7 p47; protocol identifier 0: [TCP] 3.1.3 p5
    EXPECT_EQ(ExampleDevice().answer_to(bytes_of("00 01 00 01 00 06 11 03 00 6B 00 03")), Bytes{});
}

TEST(References, traditional_numbers_count_from_one) {
    // [AP] 4.4 p7: data are addressed from 0 in the PDU and numbered from 1 in the data model.
    // Common practice: the leading digit by table.
    EXPECT_EQ(input_reference(0), 30001U);
    EXPECT_EQ(input_reference(8), 30009U);
    EXPECT_EQ(holding_reference(0x6B), 40108U);  // register 108 of [AP] 6.3
}

}  // namespace
}  // namespace freshet::modbus
