// The server with real sockets: libmodbus as an independent client, and peers that send byte by byte, send
// nonsense, come in crowds or stay.
// One reason to change: how the server accepts, keeps and closes connections.
#include "hal/modbus/read_server.hpp"

#include <arpa/inet.h>
#include <modbus.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <memory>
#include <thread>

#include <gtest/gtest.h>

#include "hal/modbus/advice_encoder.hpp"
#include "hal/modbus/boards.hpp"
#include "tests/unit/modbus/site.hpp"

namespace freshet::modbus {
namespace {

using Bytes = std::vector<std::uint8_t>;
using Clock = std::chrono::steady_clock;
using std::chrono::milliseconds;

/// A plain socket.
class Peer {
  public:
    explicit Peer(std::uint16_t port) : socket_(::socket(AF_INET, SOCK_STREAM, 0)) {
        sockaddr_in at{};
        at.sin_family = AF_INET;
        at.sin_port = htons(port);
        at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
        connected_ = ::connect(socket_, reinterpret_cast<const sockaddr*>(&at), sizeof at) == 0;
    }
    ~Peer() { ::close(socket_); }
    Peer(const Peer&) = delete;
    Peer& operator=(const Peer&) = delete;

    bool connected() const { return connected_; }
    void send(const Bytes& bytes) const {
        ASSERT_EQ(::send(socket_, bytes.data(), bytes.size(), MSG_NOSIGNAL),
                  static_cast<ssize_t>(bytes.size()));
    }
    /// The bytes that come within the limit, at most `count`; empty: no byte came, or the connection is
    /// closed.
    Bytes receive(std::size_t count, milliseconds limit = long_enough) const {
        Bytes got;
        while (got.size() < count && readable(limit)) {
            std::array<std::uint8_t, 512> buffer{};
            const ssize_t size =
                ::recv(socket_, buffer.data(), std::min(buffer.size(), count - got.size()), 0);
            if (size <= 0) break;
            got.insert(got.end(), buffer.begin(), buffer.begin() + size);
        }
        return got;
    }
    bool closed_by_server() const {
        std::uint8_t byte = 0;
        return readable(long_enough) && ::recv(socket_, &byte, 1, 0) <= 0;
    }

  private:
    bool readable(milliseconds limit) const {
        pollfd at{socket_, POLLIN, 0};
        return ::poll(&at, 1, static_cast<int>(limit.count())) == 1;
    }
    int socket_;
    bool connected_ = false;
};

const Bytes read_map_id = {0, 1, 0, 0, 0, 6, 1, 4, 0, 2, 0, 1};
const Bytes map_id_answer = {0, 1, 0, 0, 0, 5, 1, 4, 2, map_id >> 8U, map_id & 0xFFU};

class ReadServerTest : public testing::Test {
  protected:
    void start(ServerOptions options = {}) {
        Served served{[this](const Request& request, std::span<std::uint16_t> out) {
                          return board_.read(request, out);
                      },
                      [this](const Request& request) { return board_.version(request); },
                      {"vendor", "code", "1.0", "", "product", "model"}};
        server_ = ReadServer::start(options, std::move(served)).value();
    }
    std::unique_ptr<modbus_t, void (*)(modbus_t*)> client() const {
        std::unique_ptr<modbus_t, void (*)(modbus_t*)> made(modbus_new_tcp("127.0.0.1", server_->port()),
                                                            [](modbus_t* at) {
                                                                modbus_close(at);
                                                                modbus_free(at);
                                                            });
        EXPECT_EQ(modbus_connect(made.get()), 0);
        return made;
    }

    AdviceBoard board_{AdviceEncoder(4, 100, 5000).image()};
    std::unique_ptr<ReadServer> server_;
};

TEST_F(ReadServerTest, lets_an_independent_client_read_every_register) {
    start();
    const auto client_of_libmodbus = client();
    for (const AdviceBlock& block : advice_blocks) {
        std::array<std::uint16_t, 125> input{};
        std::array<std::uint16_t, 125> holding{};
        ASSERT_EQ(
            modbus_read_input_registers(client_of_libmodbus.get(), block.address, block.count, input.data()),
            block.count);
        ASSERT_EQ(
            modbus_read_registers(client_of_libmodbus.get(), block.address, block.count, holding.data()),
            block.count);
        EXPECT_EQ(input, holding);
    }
    for (const AdviceRegister& entry : advice_registers) {
        std::array<std::uint16_t, 4> words{};
        ASSERT_EQ(modbus_read_input_registers(client_of_libmodbus.get(), entry.address,
                                              static_cast<int>(entry.words()), words.data()),
                  static_cast<int>(entry.words()))
            << entry.name.view();
    }
}

TEST_F(ReadServerTest, refuses_every_write_of_an_independent_client_with_exception_01) {
    start();
    const auto client_of_libmodbus = client();
    modbus_t* const at = client_of_libmodbus.get();
    std::array<std::uint16_t, 2> words{1, 2};
    const std::array<std::uint8_t, 2> bits{1, 0};
    const auto refused = [](int result) { return result == -1 && errno == EMBXILFUN; };

    EXPECT_TRUE(refused(modbus_write_register(at, 100, 1)));
    EXPECT_TRUE(refused(modbus_write_registers(at, 100, 2, words.data())));
    EXPECT_TRUE(refused(modbus_write_bit(at, 100, 1)));
    EXPECT_TRUE(refused(modbus_write_bits(at, 100, 2, bits.data())));
    EXPECT_TRUE(refused(modbus_mask_write_register(at, 100, 0xF2, 0x25)));
    EXPECT_TRUE(refused(modbus_write_and_read_registers(at, 100, 2, words.data(), 100, 2, words.data())));
    EXPECT_EQ(modbus_read_input_registers(at, 0, 1, words.data()), 1) << "the connection is still good";
}

TEST_F(ReadServerTest, refuses_a_read_across_the_gap_between_two_blocks) {
    start();
    const auto client_of_libmodbus = client();
    std::array<std::uint16_t, 125> words{};
    EXPECT_EQ(modbus_read_input_registers(client_of_libmodbus.get(), 90, 20, words.data()), -1);
    EXPECT_EQ(errno, EMBXILADD);
}

TEST_F(ReadServerTest, answers_a_request_that_comes_byte_by_byte) {
    start();
    const Peer peer(server_->port());
    for (const std::uint8_t byte : read_map_id) peer.send({byte});
    EXPECT_EQ(peer.receive(map_id_answer.size()), map_id_answer);
}

TEST_F(ReadServerTest, serves_others_while_one_client_stays_in_the_middle_of_a_request) {
    start();
    const Peer slow(server_->port());
    slow.send({0, 1, 0, 0, 0});
    const Peer other(server_->port());
    other.send(read_map_id);
    EXPECT_EQ(other.receive(map_id_answer.size()), map_id_answer);
}

TEST_F(ReadServerTest, answers_requests_that_came_in_one_segment_in_their_order) {
    start();
    const Peer peer(server_->port());
    Bytes both = read_map_id;
    both.insert(both.end(), read_map_id.begin(), read_map_id.end());
    both[13] = 2;

    peer.send(both);

    const Bytes answers = peer.receive(2 * map_id_answer.size());
    ASSERT_EQ(answers.size(), 2 * map_id_answer.size());
    EXPECT_EQ(answers[1], 1);
    EXPECT_EQ(answers[map_id_answer.size() + 1], 2);
}

TEST_F(ReadServerTest, closes_a_stream_that_is_not_modbus_without_an_answer) {
    start();
    const Peer peer(server_->port());
    peer.send({'G', 'E', 'T', ' ', '/', ' ', 'H', 'T', 'T', 'P'});
    EXPECT_TRUE(peer.closed_by_server());
}

TEST_F(ReadServerTest, closes_a_client_that_sends_no_whole_request_within_the_idle_time) {
    ServerOptions options;
    options.idle = milliseconds(50);
    start(options);
    const Peer silent(server_->port());
    const Peer unfinished(server_->port());
    unfinished.send({0, 1, 0, 0, 0, 6, 1});
    EXPECT_TRUE(silent.closed_by_server());
    EXPECT_TRUE(unfinished.closed_by_server());
}

TEST_F(ReadServerTest, accepts_no_more_clients_than_its_limit_and_accepts_again_when_a_client_has_gone) {
    ServerOptions options;
    options.connections_max = 2;
    options.idle = milliseconds(40);
    start(options);
    const Peer first(server_->port());
    first.send(read_map_id);
    ASSERT_EQ(first.receive(map_id_answer.size()), map_id_answer);
    const Peer second(server_->port());
    second.send(read_map_id);
    ASSERT_EQ(second.receive(map_id_answer.size()), map_id_answer);

    const Peer third(server_->port());
    EXPECT_TRUE(third.closed_by_server());

    EXPECT_TRUE(first.closed_by_server()) << "idle";
    EXPECT_TRUE(second.closed_by_server()) << "idle";
    // The sweep that closed the two makes room; the server accepts a new client from then on.
    Bytes answer;
    for (const auto until = std::chrono::steady_clock::now() + long_enough;
         answer.empty() && std::chrono::steady_clock::now() < until;) {
        const Peer fourth(server_->port());
        fourth.send(read_map_id);
        answer = fourth.receive(map_id_answer.size());
    }
    EXPECT_EQ(answer, map_id_answer);
}

TEST_F(ReadServerTest, holds_an_answer_until_there_is_news) {
    ServerOptions options;
    options.hold = long_enough;
    start(options);
    const AdviceBlock& block = advice_block("advice");
    const Bytes request = {0, 1, 0, 0, 0, 6, 1, 4, 0, static_cast<std::uint8_t>(block.address), 0, 2};
    const std::size_t answer_size = 9 + 4;
    const Peer peer(server_->port());
    peer.send(request);
    ASSERT_EQ(peer.receive(answer_size).size(), answer_size) << "the first is answered at once";

    peer.send(request);
    EXPECT_TRUE(peer.receive(answer_size, milliseconds(20)).empty()) << "no new version yet";
    AdviceEncoder encoder(4, 100, 5000);
    core::Advice advice;
    advice.scan_count = 77;
    board_.publish(encoder.encode(advice, core::never_ms));
    server_->changed();

    const Bytes answer = peer.receive(answer_size);
    ASSERT_EQ(answer.size(), answer_size);
    EXPECT_EQ(answer.back(), 77);
}

TEST_F(ReadServerTest, answers_with_the_present_registers_when_no_news_came_within_the_hold) {
    ServerOptions options;
    options.hold = milliseconds(10);
    start(options);
    const Bytes request = {
        0, 1, 0, 0, 0, 6, 1, 4, 0, static_cast<std::uint8_t>(advice_block("advice").address), 0, 2};
    const Peer peer(server_->port());
    peer.send(request);
    ASSERT_EQ(peer.receive(13).size(), 13U);
    peer.send(request);
    EXPECT_EQ(peer.receive(13).size(), 13U);
}

TEST_F(ReadServerTest, loses_no_news_between_asking_and_waiting) {
    ServerOptions options;
    options.hold = long_enough;
    start(options);
    constexpr int rounds = 2000;
    Clock::duration longest{0};
    std::atomic<int> seen{0};
    std::thread reader([&] {
        const auto client_of_libmodbus = client();
        std::array<std::uint16_t, 2> words{};
        while (seen < rounds) {
            if (modbus_read_input_registers(client_of_libmodbus.get(), advice_block("advice").address, 2,
                                            words.data()) != 2)
                return;
            seen = words[0] << 16 | words[1];
        }
    });
    AdviceEncoder encoder(4, 100, 5000);
    core::Advice advice;
    for (int round = 1; round <= rounds; ++round) {
        const auto begun = Clock::now();
        advice.scan_count = static_cast<std::uint32_t>(round);
        board_.publish(encoder.encode(advice, core::never_ms));
        server_->changed();
        while (seen < round && Clock::now() - begun < 2 * long_enough) std::this_thread::yield();
        longest = std::max(longest, Clock::now() - begun);
    }
    reader.join();
    EXPECT_EQ(seen, rounds);
    EXPECT_LT(longest, long_enough) << "after a lost wake-up the client would wait for the whole hold";
}

TEST_F(ReadServerTest, simulates_a_lost_link_and_recovers) {
    start();
    const Peer before(server_->port());
    before.send(read_map_id);
    ASSERT_EQ(before.receive(map_id_answer.size()), map_id_answer);

    server_->conduct({.lost = true});
    EXPECT_TRUE(before.closed_by_server());
    const Peer during(server_->port());
    EXPECT_TRUE(during.closed_by_server());

    server_->conduct({});
    const Peer after(server_->port());
    after.send(read_map_id);
    EXPECT_EQ(after.receive(map_id_answer.size()), map_id_answer);
}

TEST(ReadServerStart, reports_why_it_cannot_listen) {
    const Served served{
        [](const Request&, std::span<std::uint16_t>) { return Exception::none; }, nullptr, {}};
    ServerOptions options;
    const auto first = ReadServer::start(options, served);
    ASSERT_TRUE(first.has_value());
    options.port = (*first)->port();
    EXPECT_NE(ReadServer::start(options, served).error().find("cannot listen on 127.0.0.1"),
              std::string::npos);
    options.address = "nowhere";
    EXPECT_NE(ReadServer::start(options, served).error().find("'nowhere' is not an address"),
              std::string::npos);
    options.address = "127.0.0.1";
    options.allowed = {"10.0.0.0/33"};
    EXPECT_NE(ReadServer::start(options, served).error().find("'10.0.0.0/33'"), std::string::npos);
}

}  // namespace
}  // namespace freshet::modbus
