// Our client on a serial line, a pair of pseudo terminals, against the frames that the specifications print.
// One reason to change: a value of those specifications.
//
// Sources:
// [AP] MODBUS Application Protocol Specification V1.1b3, 26 April 2012,
//      modbus.org/file/secure/modbusprotocolspecification.pdf: the requests and answers of 6.1 to 6.4 and the
//      exception of chapter 7 p47, here for the device 0x11
// [SL] MODBUS over Serial Line Specification and Implementation Guide V1.02, 20 December 2006,
//      modbus.org/file/secure/modbusoverserial.pdf: frame of 2.5.1, checksum and its worked example of 6.2.2
//      p41
// [AP] prints no checksums. Those of the frames below are computed by [SL] 6.2.2.
#include <fcntl.h>
#include <poll.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <cstdint>
#include <cstdlib>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

#include <gtest/gtest.h>

#include "hal/modbus/read_client.hpp"

namespace freshet::modbus {
namespace {

using Bytes = std::vector<std::uint8_t>;

/// [SL] 6.2.2, bit by bit as the text describes it; the low byte is sent first.
Bytes with_checksum(Bytes frame) {
    std::uint16_t sum = 0xFFFF;
    for (const std::uint8_t byte : frame) {
        sum = static_cast<std::uint16_t>(sum ^ byte);
        for (int bit = 0; bit < 8; ++bit) {
            const bool carry = (sum & 1U) != 0;
            sum = static_cast<std::uint16_t>(sum >> 1U);
            if (carry) sum = static_cast<std::uint16_t>(sum ^ 0xA001U);
        }
    }
    frame.push_back(static_cast<std::uint8_t>(sum & 0xFFU));
    frame.push_back(static_cast<std::uint8_t>(sum >> 8U));
    return frame;
}

/// One end of a serial line. It reads one request and sends the answer of the constructor.
class SerialDevice {
  public:
    explicit SerialDevice(Bytes answer) : answer_(std::move(answer)) {
        line_ = ::posix_openpt(O_RDWR | O_NOCTTY);
        if (line_ < 0 || ::grantpt(line_) != 0 || ::unlockpt(line_) != 0)
            throw std::runtime_error("no pseudo terminal");
        std::array<char, 100> name{};
        if (::ptsname_r(line_, name.data(), name.size()) != 0) throw std::runtime_error("no pseudo terminal");
        path_ = name.data();
    }
    ~SerialDevice() {
        if (thread_.joinable()) thread_.join();
        ::close(line_);
    }
    SerialDevice(const SerialDevice&) = delete;
    SerialDevice& operator=(const SerialDevice&) = delete;

    RtuEndpoint endpoint() const { return {path_, 19200, 'E', 1}; }
    void attend() {
        thread_ = std::thread([this] {
            constexpr std::size_t request_bytes = 8;  // address, function, two words, checksum
            constexpr int patience_ms = 5000;
            while (asked_.size() < request_bytes) {
                pollfd waiting{line_, POLLIN, 0};
                if (::poll(&waiting, 1, patience_ms) != 1) return;
                std::array<std::uint8_t, 64> got{};
                const ssize_t count = ::read(line_, got.data(), got.size());
                if (count <= 0) return;
                asked_.insert(asked_.end(), got.begin(), got.begin() + count);
            }
            if (::write(line_, answer_.data(), answer_.size()) < 0) return;
        });
    }
    /// The bytes of the request.
    const Bytes& asked() {
        thread_.join();
        return asked_;
    }

  private:
    Bytes answer_, asked_;
    int line_ = -1;
    std::string path_;
    std::thread thread_;
};

struct Round {
    ReadOutcome outcome;
    Bytes asked;
    std::vector<std::uint16_t> values;
};

Round ask(config::Table table, std::uint16_t address, std::uint16_t count, Bytes answer) {
    SerialDevice device(std::move(answer));
    ReadClient client(device.endpoint(), {.response = std::chrono::milliseconds(2000)});
    EXPECT_TRUE(client.try_connect()) << client.last_error();
    device.attend();
    constexpr std::uint8_t unit = 0x11;
    std::vector<std::uint16_t> values(count, 0);
    const bool bits = table == config::Table::coils || table == config::Table::discrete_inputs;
    const ReadOutcome outcome = bits ? client.read_bits(unit, table, address, count, values.data())
                                     : client.read_registers(unit, table, address, count, values.data());
    return {outcome, device.asked(), values};
}

// [SL] 6.2.2 p41: frame 02 07, checksum 4112 with the low byte first.
TEST(SerialLine, checksum_of_the_worked_example_is_the_printed_one) {
    EXPECT_EQ(with_checksum({0x02, 0x07}), (Bytes{0x02, 0x07, 0x41, 0x12}));
}

// [AP] 6.1 p12
TEST(SerialLine, a_read_of_coils_is_sent_and_understood_as_printed) {
    const Round round =
        ask(config::Table::coils, 0x13, 0x13, with_checksum({0x11, 0x01, 0x03, 0xCD, 0x6B, 0x05}));
    EXPECT_EQ(round.asked, (Bytes{0x11, 0x01, 0x00, 0x13, 0x00, 0x13, 0x8E, 0x92}));
    ASSERT_EQ(round.outcome, ReadOutcome::good);
    EXPECT_EQ(round.values[0], 0x6BCD);
    EXPECT_EQ(round.values[1], 0x0005);
}

// [AP] 6.2 p13
TEST(SerialLine, a_read_of_discrete_inputs_is_sent_and_understood_as_printed) {
    const Round round =
        ask(config::Table::discrete_inputs, 0xC4, 0x16, with_checksum({0x11, 0x02, 0x03, 0xAC, 0xDB, 0x35}));
    EXPECT_EQ(round.asked, (Bytes{0x11, 0x02, 0x00, 0xC4, 0x00, 0x16, 0xBA, 0xA9}));
    ASSERT_EQ(round.outcome, ReadOutcome::good);
    EXPECT_EQ(round.values[0], 0xDBAC);
    EXPECT_EQ(round.values[1], 0x0035);
}

// [AP] 6.3 p15
TEST(SerialLine, a_read_of_holding_registers_is_sent_and_understood_as_printed) {
    const Round round = ask(config::Table::holding_registers, 0x6B, 3,
                            {0x11, 0x03, 0x06, 0x02, 0x2B, 0x00, 0x00, 0x00, 0x64, 0xC8, 0xBA});
    EXPECT_EQ(round.asked, (Bytes{0x11, 0x03, 0x00, 0x6B, 0x00, 0x03, 0x76, 0x87}));
    ASSERT_EQ(round.outcome, ReadOutcome::good);
    EXPECT_EQ(round.values, (std::vector<std::uint16_t>{0x022B, 0, 0x0064}));
}

// [AP] 6.4 p16
TEST(SerialLine, a_read_of_input_registers_is_sent_and_understood_as_printed) {
    const Round round =
        ask(config::Table::input_registers, 0x08, 1, {0x11, 0x04, 0x02, 0x00, 0x0A, 0xF8, 0xF4});
    EXPECT_EQ(round.asked, (Bytes{0x11, 0x04, 0x00, 0x08, 0x00, 0x01, 0xB2, 0x98}));
    ASSERT_EQ(round.outcome, ReadOutcome::good);
    EXPECT_EQ(round.values[0], 0x000A);
}

// [AP] 7 p47
TEST(SerialLine, an_exception_is_understood_as_printed) {
    const Round round = ask(config::Table::coils, 0x04A1, 1, {0x11, 0x81, 0x02, 0xC0, 0x54});
    EXPECT_EQ(round.asked, (Bytes{0x11, 0x01, 0x04, 0xA1, 0x00, 0x01, 0xAF, 0x88}));
    EXPECT_EQ(round.outcome, ReadOutcome::exception);
}

// [SL] 2.5.1: a frame with a wrong checksum is discarded.
TEST(SerialLine, an_answer_with_a_wrong_checksum_is_garbled_and_gives_no_value) {
    const Round round =
        ask(config::Table::input_registers, 0x08, 1, {0x11, 0x04, 0x02, 0x00, 0x0A, 0xF8, 0xF5});
    EXPECT_EQ(round.outcome, ReadOutcome::garbled);
    EXPECT_EQ(round.values[0], 0);
}

}  // namespace
}  // namespace freshet::modbus
