// One link to a Modbus device for reading: connects, pauses after a failure, closes a doubtful connection.
// The link has no write call. One reason to change: how a link is kept connected.
//
// Built on libmodbus without its link recovery, because the send loop of the recovery does not return while
// the peer is down. Every time-out here is in wall time on purpose, because wires and devices are not faster
// on a bench.
#pragma once

#include <chrono>
#include <cstdint>
#include <memory>
#include <string>
#include <variant>

#include "config/field_map.hpp"

namespace freshet::modbus {

struct TcpEndpoint {
    std::string host = "127.0.0.1", port = "502";
};
struct RtuEndpoint {
    std::string device;
    int baud = 19200;
    char parity = 'E';
    int stop_bits = 1;
};
using Endpoint = std::variant<TcpEndpoint, RtuEndpoint>;

/// The endpoint as people write it: "192.0.2.7:502", "[::1]:502", "/dev/ttyUSB0".
std::string place_of(const Endpoint& endpoint);

struct ClientOptions {
    std::chrono::milliseconds response{1000};       ///< time limit of a whole answer, and of connecting
    std::chrono::milliseconds back_off_first{100};  ///< doubled after each failure up to the next
    std::chrono::milliseconds back_off_max{5000};
};

/// `garbled`: the answer does not belong to the request. The client closes the connection, as after a lost
/// link.
enum class ReadOutcome : std::uint8_t { good, exception, garbled, link_lost };

/// Use from one thread; `interrupt` from any.
class ReadClient {
  public:
    ReadClient(const Endpoint& endpoint, const ClientOptions& options);
    ~ReadClient();
    ReadClient(const ReadClient&) = delete;
    ReadClient& operator=(const ReadClient&) = delete;

    bool connected() const;
    /// Connects unless the pause after a failure is not over. Waits at most the response time. True when
    /// connected.
    bool try_connect();
    /// Permits the next try at once, for a peer that is known to listen.
    void retry_at_once();
    /// The time of the next permitted try.
    std::chrono::steady_clock::time_point next_try() const;

    /// Reads `count` registers from a zero-based address. `out` must have room for them.
    ReadOutcome read_registers(std::uint8_t unit_id, config::Table table, std::uint16_t address,
                               std::uint16_t count, std::uint16_t* out);
    /// Reads `count` bits, packed 16 to a word, lowest bit first.
    ReadOutcome read_bits(std::uint8_t unit_id, config::Table table, std::uint16_t address,
                          std::uint16_t count, std::uint16_t* out);

    /// Why the last try or read failed.
    const std::string& last_error() const;
    /// Ends a wait for an answer at once; the read then reports a lost link.
    void interrupt();

  private:
    struct Link;
    std::unique_ptr<Link> link_;
};

}  // namespace freshet::modbus
