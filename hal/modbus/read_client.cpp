// The link on libmodbus.
// One reason to change: see the header.
#include "hal/modbus/read_client.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <mutex>

#include <modbus.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/select.h>
#include <sys/socket.h>

#include <fmt/format.h>

#include "hal/modbus/request_limits.hpp"

namespace freshet::modbus {
namespace {

using Clock = std::chrono::steady_clock;

modbus_t* make_context(const Endpoint& endpoint) {
    if (const auto* tcp = std::get_if<TcpEndpoint>(&endpoint)) {
        return modbus_new_tcp_pi(tcp->host.c_str(), tcp->port.c_str());
    }
    const auto& rtu = std::get<RtuEndpoint>(endpoint);
    return modbus_new_rtu(rtu.device.c_str(), rtu.baud, rtu.parity, 8, rtu.stop_bits);
}

/// With these options the kernel notices a peer that vanished without closing the connection.
void keep_watch(int socket, std::chrono::milliseconds response) {
    const int on = 1;
    const int idle_s = 5;
    const int interval_s = 2;
    const int probes = 3;
    const auto user_ms = static_cast<unsigned>(std::max<std::int64_t>(response.count() * 3, 1000));
    (void)setsockopt(socket, SOL_SOCKET, SO_KEEPALIVE, &on, sizeof on);
    (void)setsockopt(socket, IPPROTO_TCP, TCP_KEEPIDLE, &idle_s, sizeof idle_s);
    (void)setsockopt(socket, IPPROTO_TCP, TCP_KEEPINTVL, &interval_s, sizeof interval_s);
    (void)setsockopt(socket, IPPROTO_TCP, TCP_KEEPCNT, &probes, sizeof probes);
    (void)setsockopt(socket, IPPROTO_TCP, TCP_USER_TIMEOUT, &user_ms, sizeof user_ms);
    (void)setsockopt(socket, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
}

/// A client that connects to a local port without a listener may get this same port as its own, and so
/// connect to itself. Such a connection would also keep the real peer from listening.
bool meets_itself(int socket) {
    sockaddr_storage own{};
    sockaddr_storage peer{};
    socklen_t own_size = sizeof own;
    socklen_t peer_size = sizeof peer;
    if (getsockname(socket, reinterpret_cast<sockaddr*>(&own), &own_size) != 0 ||
        getpeername(socket, reinterpret_cast<sockaddr*>(&peer), &peer_size) != 0) {
        return false;
    }
    return own_size == peer_size && std::memcmp(&own, &peer, own_size) == 0;
}

/// The device answered with an exception, so the connection works.
bool is_exception(int error) {
    return error >= EMBXILFUN && error <= EMBXGTAR;
}

/// The received bytes are not the answer.
bool is_nonsense(int error) {
    return error == EMBBADDATA || error == EMBBADCRC || error == EMBMDATA || error == EMBBADSLAVE;
}

}  // namespace

std::string place_of(const Endpoint& endpoint) {
    if (const auto* line = std::get_if<RtuEndpoint>(&endpoint)) return line->device;
    const auto& tcp = std::get<TcpEndpoint>(endpoint);
    return tcp.host.find(':') == std::string::npos ? fmt::format("{}:{}", tcp.host, tcp.port)
                                                   : fmt::format("[{}]:{}", tcp.host, tcp.port);
}

struct ReadClient::Link {
    Link(const Endpoint& where, const ClientOptions& given)
        : endpoint(where), options(given), back_off(given.back_off_first) {}

    void set_time_outs() {
        const auto seconds = std::chrono::duration_cast<std::chrono::seconds>(options.response);
        const auto micros = std::chrono::duration_cast<std::chrono::microseconds>(options.response - seconds);
        modbus_set_response_timeout(context, static_cast<std::uint32_t>(seconds.count()),
                                    static_cast<std::uint32_t>(micros.count()));
        // Zero makes the response time limit the whole answer, so that single late bytes cannot extend the
        // time.
        modbus_set_byte_timeout(context, 0, 0);
    }

    void close(const std::string& why) {
        error = why;
        drop();
        next_try = Clock::now() + back_off;
        back_off = std::min(back_off * 2, options.back_off_max);
    }

    void drop() {
        const std::lock_guard lock(mutex);
        if (context == nullptr) return;
        if (open) modbus_close(context);
        modbus_free(context);
        context = nullptr;
        open = false;
        socket = -1;
    }

    ReadOutcome judge(int got, int wanted) {
        if (got == wanted) {
            back_off = options.back_off_first;
            return ReadOutcome::good;
        }
        const int number = errno;
        if (got == -1 && is_exception(number)) {
            error = modbus_strerror(number);
            return ReadOutcome::exception;
        }
        // After a time-out or a wrong answer a late answer may still come. The client would take the late
        // answer for the next answer. Therefore the client opens a new connection.
        close(got == -1 ? modbus_strerror(number) : "answer of a wrong length");
        return got != -1 || is_nonsense(number) ? ReadOutcome::garbled : ReadOutcome::link_lost;
    }

    Endpoint endpoint;
    ClientOptions options;
    std::chrono::milliseconds back_off;
    Clock::time_point next_try{};
    std::string error = "never connected";
    std::mutex mutex;  ///< guards `socket` against an interrupt while it is closed
    modbus_t* context = nullptr;
    int socket = -1;
    bool open = false;
};

ReadClient::ReadClient(const Endpoint& endpoint, const ClientOptions& options)
    : link_(std::make_unique<Link>(endpoint, options)) {}

ReadClient::~ReadClient() {
    link_->drop();
}

bool ReadClient::connected() const {
    return link_->open;
}

void ReadClient::retry_at_once() {
    link_->next_try = {};
}

Clock::time_point ReadClient::next_try() const {
    return link_->next_try;
}

const std::string& ReadClient::last_error() const {
    return link_->error;
}

bool ReadClient::try_connect() {
    Link& link = *link_;
    if (link.open) return true;
    if (Clock::now() < link.next_try) return false;
    link.context = make_context(link.endpoint);
    if (link.context == nullptr) {
        link.close("an endpoint that cannot be opened");
        return false;
    }
    link.set_time_outs();
    if (modbus_connect(link.context) == -1) {
        link.close(fmt::format("cannot connect: {}", modbus_strerror(errno)));
        return false;
    }
    const int socket = modbus_get_socket(link.context);
    link.open = true;
    if (socket < 0 || socket >= FD_SETSIZE) {
        // The library waits by select, and a descriptor above the limit of select would write past its set.
        link.close("too many open files for a link");
        return false;
    }
    const bool tcp = std::holds_alternative<TcpEndpoint>(link.endpoint);
    if (tcp && meets_itself(socket)) {
        link.close("nobody listens");
        return false;
    }
    if (tcp) keep_watch(socket, link.options.response);
    const std::lock_guard lock(link.mutex);
    link.socket = tcp ? socket : -1;
    return true;
}

ReadOutcome ReadClient::read_registers(std::uint8_t unit_id, config::Table table, std::uint16_t address,
                                       std::uint16_t count, std::uint16_t* out) {
    if (!link_->open) return ReadOutcome::link_lost;
    modbus_set_slave(link_->context, unit_id);
    const bool input = table == config::Table::input_registers;
    const int got = input ? modbus_read_input_registers(link_->context, address, count, out)
                          : modbus_read_registers(link_->context, address, count, out);
    return link_->judge(got, count);
}

ReadOutcome ReadClient::read_bits(std::uint8_t unit_id, config::Table table, std::uint16_t address,
                                  std::uint16_t count, std::uint16_t* out) {
    if (!link_->open) return ReadOutcome::link_lost;
    modbus_set_slave(link_->context, unit_id);
    std::array<std::uint8_t, bits_per_read_max> bits{};
    const int got = table == config::Table::coils
                        ? modbus_read_bits(link_->context, address, count, bits.data())
                        : modbus_read_input_bits(link_->context, address, count, bits.data());
    const ReadOutcome outcome = link_->judge(got, count);
    if (outcome != ReadOutcome::good) return outcome;
    std::fill_n(out, (count + 15U) / 16U, std::uint16_t{0});
    for (std::size_t i = 0; i < count; ++i) {
        if (bits[i] != 0) out[i / 16] = static_cast<std::uint16_t>(out[i / 16] | (1U << (i % 16)));
    }
    return outcome;
}

void ReadClient::interrupt() {
    const std::lock_guard lock(link_->mutex);
    if (link_->socket >= 0) (void)shutdown(link_->socket, SHUT_RDWR);
}

}  // namespace freshet::modbus
