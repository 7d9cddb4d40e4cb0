// The parser of requests: which bytes it waits for, which requests it refuses, and that it never reads past
// the end. One reason to change: a request that is understood or refused.
#include "hal/modbus/mbap_parser.hpp"

#include <random>
#include <vector>

#include <gtest/gtest.h>

namespace freshet::modbus {
namespace {

using Bytes = std::vector<std::uint8_t>;

/// A request frame: header and PDU.
Bytes frame(const Bytes& pdu, std::uint16_t transaction = 7, std::uint8_t unit = 1) {
    const std::size_t length = pdu.size() + 1;
    Bytes bytes = {
        static_cast<std::uint8_t>(transaction >> 8U), static_cast<std::uint8_t>(transaction), 0,   0,
        static_cast<std::uint8_t>(length >> 8U),      static_cast<std::uint8_t>(length),      unit};
    bytes.insert(bytes.end(), pdu.begin(), pdu.end());
    return bytes;
}

const Bytes read_three = {0x04, 0x00, 0x6B, 0x00, 0x03};

TEST(Parse, takes_a_whole_request_and_reports_its_length) {
    Bytes bytes = frame(read_three, 0x1234, 17);
    bytes.push_back(0xEE);

    const Parsed parsed = parse(bytes);

    ASSERT_EQ(parsed.outcome, ParseOutcome::request);
    EXPECT_EQ(parsed.consumed, 12U);
    EXPECT_EQ(parsed.request.transaction, 0x1234);
    EXPECT_EQ(parsed.request.unit_id, 17);
    EXPECT_EQ(parsed.request.kind, RequestKind::read_registers);
    EXPECT_EQ(parsed.request.table, config::Table::input_registers);
    EXPECT_EQ(parsed.request.address, 0x6B);
    EXPECT_EQ(parsed.request.quantity, 3);
}

TEST(Parse, waits_for_more_at_every_cut_of_a_frame) {
    const Bytes bytes = frame(read_three);
    for (std::size_t cut = 0; cut < bytes.size(); ++cut) {
        EXPECT_EQ(parse(std::span(bytes).first(cut)).outcome, ParseOutcome::need_more) << cut << " bytes";
    }
}

TEST(Parse, reports_a_stream_of_another_protocol_as_an_error_at_once) {
    EXPECT_EQ(parse(Bytes{0, 1, 0, 1}).outcome, ParseOutcome::error);
    EXPECT_EQ(parse(Bytes{'G', 'E', 'T', ' ', '/'}).outcome, ParseOutcome::error);
}

TEST(Parse, reports_a_length_that_no_frame_can_have_as_an_error) {
    EXPECT_EQ(parse(Bytes{0, 1, 0, 0, 0, 0}).outcome, ParseOutcome::error);
    EXPECT_EQ(parse(Bytes{0, 1, 0, 0, 0, 1}).outcome, ParseOutcome::error) << "no function code";
    EXPECT_EQ(parse(Bytes{0, 1, 0, 0, 0, 255}).outcome, ParseOutcome::error)
        << "longer than 253 bytes of PDU";
    EXPECT_EQ(parse(Bytes{0, 1, 0, 0, 0, 254}).outcome, ParseOutcome::need_more);
}

TEST(Parse, refuses_every_function_code_but_reads_and_identification) {
    for (int code = 0; code < 256; ++code) {
        const bool known = (code >= 1 && code <= 4) || code == 0x2B;
        if (known) continue;
        const Parsed parsed = parse(frame({static_cast<std::uint8_t>(code), 0, 0, 0, 1}));
        ASSERT_EQ(parsed.outcome, ParseOutcome::request);
        EXPECT_EQ(parsed.request.kind, RequestKind::refused) << "function code " << code;
        EXPECT_EQ(parsed.request.exception, Exception::illegal_function) << "function code " << code;
    }
}

TEST(Parse, refuses_a_read_of_a_wrong_length) {
    EXPECT_EQ(parse(frame({0x04, 0, 0, 0})).request.exception, Exception::illegal_value);
    EXPECT_EQ(parse(frame({0x04, 0, 0, 0, 1, 0})).request.exception, Exception::illegal_value);
}

TEST(Parse, takes_two_requests_that_came_together) {
    Bytes bytes = frame(read_three, 1);
    const Bytes second = frame(read_three, 2);
    bytes.insert(bytes.end(), second.begin(), second.end());

    const Parsed first = parse(bytes);
    const Parsed next = parse(std::span(bytes).subspan(first.consumed));

    EXPECT_EQ(first.request.transaction, 1);
    EXPECT_EQ(next.request.transaction, 2);
}

TEST(Parse, survives_any_bytes_and_answers_within_a_frame) {
    std::mt19937 random(43);
    std::uniform_int_distribution<int> byte(0, 255);
    std::uniform_int_distribution<std::size_t> size(0, frame_bytes_max);
    const ReadValues values = [](const Request& request, std::span<std::uint16_t> out) {
        EXPECT_EQ(out.size(), request.quantity);
        return Exception::none;
    };
    std::array<std::uint8_t, frame_bytes_max> out{};
    for (int round = 0; round < 20000; ++round) {
        Bytes bytes(size(random));
        for (auto& at : bytes) at = static_cast<std::uint8_t>(byte(random));
        if (bytes.size() > 7 && round % 2 == 0) {  // half of them look like frames
            bytes[2] = bytes[3] = bytes[4] = 0;
            bytes[5] = static_cast<std::uint8_t>(bytes.size() - 6);
            bytes[7] = static_cast<std::uint8_t>(bytes[7] % 48);
        }
        const Parsed parsed = parse(bytes);
        ASSERT_LE(parsed.consumed, bytes.size());
        if (parsed.outcome != ParseOutcome::request) continue;
        const std::size_t length = answer(parsed.request, values, {"v", "p", "r", "", "", ""}, out);
        ASSERT_GE(length, 9U);
        ASSERT_LE(length, frame_bytes_max);
        ASSERT_EQ(static_cast<std::size_t>(out[4] << 8U | out[5]), length - 6);
    }
}

TEST(Answer, cuts_an_identification_that_does_not_fit_and_names_the_next_object) {
    const std::string long_name(200, 'x');
    const DeviceIdentification identification{long_name, long_name, "1", "", "", ""};
    const Request all = parse(frame({0x2B, 0x0E, 0x01, 0x00})).request;
    std::array<std::uint8_t, frame_bytes_max> out{};

    answer(all, nullptr, identification, out);

    EXPECT_EQ(out[11], 0xFF) << "more follows";
    EXPECT_EQ(out[12], 1) << "next object";
    EXPECT_EQ(out[13], 1) << "objects in this answer";
}

TEST(Answer, begins_a_stream_with_the_first_object_when_the_requested_object_is_unknown) {
    const Request from_unknown = parse(frame({0x2B, 0x0E, 0x01, 0x77})).request;
    std::array<std::uint8_t, frame_bytes_max> out{};

    answer(from_unknown, nullptr, {"vendor", "code", "1", "", "", ""}, out);

    EXPECT_EQ(out[7], 0x2B);
    EXPECT_EQ(out[13], 3);
    EXPECT_EQ(out[14], 0) << "the first object";
}

}  // namespace
}  // namespace freshet::modbus
