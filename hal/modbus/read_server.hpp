// A Modbus TCP server that answers reads and refuses every write: connections, limits and time-outs.
// One reason to change: how the server accepts, keeps and closes connections.
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "hal/modbus/mbap_parser.hpp"

namespace freshet::modbus {

struct ServerOptions {
    std::string address = "127.0.0.1";      ///< loopback unless the configuration names another
    std::uint16_t port = 0;                 ///< 0: the system chooses
    std::vector<std::string> allowed;       ///< see allow_list.hpp; loopback is always allowed
    std::size_t connections_max = 16;       ///< the server closes a further connection at once
    std::chrono::milliseconds idle{60000};  ///< wall time without a whole request, then closed
    /// Wall time for which an answer may wait for a new version; 0: the answer does not wait.
    std::chrono::milliseconds hold{0};
};

/// Why a server cannot listen at this address; empty where it can.
std::string listen_refusal(const std::string& address);

/// The data that a server serves. The server calls both functions on its own thread.
struct Served {
    ReadValues read;
    /// The version of the requested registers, or 0 when the client does not wait. A client that already has
    /// this version gets its answer when the next version comes, or after `hold`.
    std::function<std::uint64_t(const Request&)> version;
    DeviceIdentification identification;
    /// The requests that are answered correctly even on a bad link. Empty: no request.
    std::function<bool(const Request&)> spared = {};
};

/// How a bench's server misbehaves, when a scenario describes a bad link.
struct LinkConduct {
    bool lost = false;                  ///< connections are closed and no connection is accepted
    bool lost_to_requests = false;      ///< the first request that is not spared closes its connection
    bool garbled = false;               ///< answers carry the number of another transaction
    std::chrono::milliseconds late{0};  ///< delay of every answer, wall time
    friend bool operator==(const LinkConduct&, const LinkConduct&) = default;
};

/// Runs on one thread of its own from `start` until it is destroyed.
class ReadServer {
  public:
    /// Errors: an invalid address, a port in use.
    static tl::expected<std::unique_ptr<ReadServer>, std::string> start(const ServerOptions& options,
                                                                        Served served);
    ~ReadServer();
    ReadServer(const ReadServer&) = delete;
    ReadServer& operator=(const ReadServer&) = delete;

    std::uint16_t port() const;
    std::size_t connections() const;
    /// Call when there is a new version. The server answers the clients that wait for a version. Quick when
    /// no client waits. Any thread.
    void changed();
    /// Takes effect from the next answer. Any thread.
    void conduct(const LinkConduct& conduct);

  private:
    struct Room;
    explicit ReadServer(std::unique_ptr<Room> room);
    std::unique_ptr<Room> room_;
};

}  // namespace freshet::modbus
