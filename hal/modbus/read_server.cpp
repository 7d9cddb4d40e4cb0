// The server on Asio: one io_context, one thread, every buffer bounded.
// One reason to change: see the header.
#include "hal/modbus/read_server.hpp"

#include <algorithm>
#include <array>
#include <atomic>
#include <set>
#include <thread>
#include <utility>

#include <fmt/format.h>
#include <boost/asio.hpp>

#include "hal/modbus/allow_list.hpp"

namespace freshet::modbus {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;
using Clock = std::chrono::steady_clock;

}  // namespace

/// One client. The connection answers requests one after another. While an answer is held or sent, the
/// connection reads no request.
class Connection : public std::enable_shared_from_this<Connection> {
  public:
    Connection(tcp::socket socket, const Served& served, const LinkConduct& conduct,
               std::chrono::milliseconds hold, std::atomic<int>& waiting,
               std::atomic<std::size_t>& open_count)
        : socket_(std::move(socket)),
          hold_timer_(socket_.get_executor()),
          served_(served),
          conduct_(conduct),
          hold_(hold),
          waiting_(waiting),
          open_count_(open_count) {
        open_count_.fetch_add(1);
    }
    ~Connection() {
        // The context destroys handlers last, so this destructor must not start an operation on the socket.
        stop_waiting();
        if (socket_.is_open()) open_count_.fetch_sub(1);
    }
    Connection(const Connection&) = delete;
    Connection& operator=(const Connection&) = delete;

    void begin() { serve(); }
    bool open() const { return socket_.is_open(); }
    Clock::time_point last_request() const { return last_request_; }

    void close() {
        if (!socket_.is_open()) return;
        stop_waiting();
        open_count_.fetch_sub(1);
        hold_timer_.cancel();
        boost::system::error_code ignored;
        socket_.shutdown(tcp::socket::shutdown_both, ignored);
        socket_.close(ignored);
    }

    void version_changed() {
        if (is_waiting_ && served_.version(held_) != answered_version_) answer_held();
    }

  private:
    void serve() {
        const Parsed parsed = parse(std::span(buffer_).first(filled_));
        switch (parsed.outcome) {
            case ParseOutcome::error:
                close();
                return;
            case ParseOutcome::need_more:
                read_more();
                return;
            case ParseOutcome::request:
                break;
        }
        last_request_ = Clock::now();
        std::copy(buffer_.begin() + static_cast<std::ptrdiff_t>(parsed.consumed),
                  buffer_.begin() + static_cast<std::ptrdiff_t>(filled_), buffer_.begin());
        filled_ -= parsed.consumed;
        held_ = parsed.request;
        if (must_wait()) {
            hold();
        } else {
            write_answer();
        }
    }

    bool is_read() const {
        return held_.kind == RequestKind::read_bits || held_.kind == RequestKind::read_registers;
    }

    std::uint64_t version() const { return is_read() && served_.version ? served_.version(held_) : 0; }

    bool must_wait() const {
        if (hold_.count() == 0) return false;
        const std::uint64_t now = version();
        return now != 0 && now == answered_version_;
    }

    void hold() {
        // The server counts this client first, and then reads the version again. A publisher that sees no
        // waiting client has therefore published before this reading.
        is_waiting_ = true;
        waiting_.fetch_add(1);
        if (!must_wait()) {
            answer_held();
            return;
        }
        hold_timer_.expires_after(hold_);
        hold_timer_.async_wait([self = shared_from_this()](const boost::system::error_code& error) {
            if (!error && self->is_waiting_) self->answer_held();
        });
    }

    void stop_waiting() {
        if (!is_waiting_) return;
        is_waiting_ = false;
        waiting_.fetch_sub(1);
    }

    void answer_held() {
        stop_waiting();
        hold_timer_.cancel();
        write_answer();
    }

    void write_answer() {
        if (spared()) {
            write_answer_now();
            return;
        }
        if (conduct_.lost || conduct_.lost_to_requests) {
            close();
            return;
        }
        if (conduct_.late.count() == 0) {
            write_answer_now();
            return;
        }
        hold_timer_.expires_after(conduct_.late);
        hold_timer_.async_wait([self = shared_from_this()](const boost::system::error_code& error) {
            if (!error) self->write_answer_now();
        });
    }

    void write_answer_now() {
        const std::uint64_t now = version();
        if (now != 0) answered_version_ = now;
        const std::size_t size = answer(held_, served_.read, served_.identification, answer_);
        // The number of another transaction, so that a client does not accept this answer.
        if (conduct_.garbled && !spared()) answer_[0] = static_cast<std::uint8_t>(answer_[0] ^ 0xFFU);
        asio::async_write(socket_, asio::buffer(answer_.data(), size),
                          [self = shared_from_this()](const boost::system::error_code& error, std::size_t) {
                              if (error) {
                                  self->close();
                              } else {
                                  self->serve();
                              }
                          });
    }

    bool spared() const { return is_read() && served_.spared && served_.spared(held_); }

    void read_more() {
        if (!socket_.is_open()) return;
        socket_.async_read_some(
            asio::buffer(buffer_.data() + filled_, buffer_.size() - filled_),
            [self = shared_from_this()](const boost::system::error_code& error, std::size_t got) {
                if (error) {
                    self->close();
                    return;
                }
                self->filled_ += got;
                self->serve();
            });
    }

    tcp::socket socket_;
    asio::steady_timer hold_timer_;
    const Served& served_;
    const LinkConduct& conduct_;
    std::chrono::milliseconds hold_;
    std::atomic<int>& waiting_;
    std::atomic<std::size_t>& open_count_;
    std::array<std::uint8_t, frame_bytes_max> buffer_{};
    std::array<std::uint8_t, frame_bytes_max> answer_{};
    std::size_t filled_ = 0;
    Request held_;
    std::uint64_t answered_version_ = 0;
    bool is_waiting_ = false;
    Clock::time_point last_request_ = Clock::now();
};

struct ReadServer::Room {
    Room(const ServerOptions& given, Served what) : options(given), served(std::move(what)) {}

    void accept() {
        acceptor.async_accept([this](const boost::system::error_code& error, tcp::socket socket) {
            if (!acceptor.is_open()) return;
            if (!error) let_in(std::move(socket));
            if (error == asio::error::no_descriptors || error == asio::error::no_memory) {
                // No descriptor or memory is left. The server waits until the sweep has freed some, instead
                // of accepting again at once.
                accept_paused = true;
                return;
            }
            accept();
        });
    }

    void let_in(tcp::socket socket) {
        boost::system::error_code error;
        const tcp::endpoint peer = socket.remote_endpoint(error);
        const bool known =
            !error && (peer.address().is_loopback() ||
                       std::any_of(options.allowed.begin(), options.allowed.end(),
                                   [client = peer.address().to_string()](const std::string& allowed) {
                                       return lies_in(allowed, client);
                                   }));
        if (!known || conduct.lost || open_count.load() >= options.connections_max) return;
        socket.set_option(tcp::no_delay(true), error);
        auto connection = std::make_shared<Connection>(std::move(socket), served, conduct, options.hold,
                                                       waiting, open_count);
        connections.insert(connection);
        connection->begin();
    }

    void sweep_later() {
        sweep_timer.expires_after(
            std::clamp(options.idle / 4, std::chrono::milliseconds(10), std::chrono::milliseconds(500)));
        sweep_timer.async_wait([this](const boost::system::error_code& error) {
            if (error) return;
            sweep();
            sweep_later();
        });
    }

    void sweep() {
        const auto now = Clock::now();
        for (auto at = connections.begin(); at != connections.end();) {
            if ((*at)->open() && now - (*at)->last_request() > options.idle) (*at)->close();
            at = (*at)->open() ? std::next(at) : connections.erase(at);
        }
        if (std::exchange(accept_paused, false)) accept();
    }

    ServerOptions options;
    Served served;
    LinkConduct conduct;  ///< changed on the server's thread only
    std::atomic<int> waiting{0};
    std::atomic<std::size_t> open_count{0};
    bool accept_paused = false;
    asio::io_context context{1};
    tcp::acceptor acceptor{context};
    asio::steady_timer sweep_timer{context};
    std::set<std::shared_ptr<Connection>> connections;
    std::uint16_t port = 0;
    std::thread thread;
};

std::string listen_refusal(const std::string& address) {
    boost::system::error_code error;
    static_cast<void>(asio::ip::make_address(address, error));
    return error ? fmt::format(
                       "'{}' is not an address to listen on; expected an address like 127.0.0.1 or 0.0.0.0",
                       address)
                 : std::string();
}

tl::expected<std::unique_ptr<ReadServer>, std::string> ReadServer::start(const ServerOptions& options,
                                                                         Served served) {
    auto room = std::make_unique<Room>(options, std::move(served));
    for (const std::string& text : options.allowed)
        if (std::string refusal = allow_refusal(text); !refusal.empty())
            return tl::unexpected(std::move(refusal));
    boost::system::error_code error;
    const auto address = asio::ip::make_address(options.address, error);
    if (error) return tl::unexpected(listen_refusal(options.address));
    const tcp::endpoint endpoint(address, options.port);
    room->acceptor.open(endpoint.protocol(), error);
    if (!error) room->acceptor.set_option(tcp::acceptor::reuse_address(true), error);
    if (!error) room->acceptor.bind(endpoint, error);
    if (!error) room->acceptor.listen(asio::socket_base::max_listen_connections, error);
    if (error) {
        return tl::unexpected(
            fmt::format("cannot listen on {} port {}: {}", options.address, options.port, error.message()));
    }
    room->port = room->acceptor.local_endpoint().port();
    room->accept();
    room->sweep_later();
    room->thread = std::thread([raw = room.get()] { raw->context.run(); });
    return std::unique_ptr<ReadServer>(new ReadServer(std::move(room)));
}

ReadServer::ReadServer(std::unique_ptr<Room> room) : room_(std::move(room)) {}

ReadServer::~ReadServer() {
    asio::post(room_->context, [room = room_.get()] {
        room->acceptor.close();
        room->sweep_timer.cancel();
        for (const auto& connection : room->connections) connection->close();
        room->context.stop();
    });
    room_->thread.join();
}

std::uint16_t ReadServer::port() const {
    return room_->port;
}

std::size_t ReadServer::connections() const {
    return room_->open_count.load();
}

void ReadServer::changed() {
    if (room_->waiting.load() == 0) return;
    asio::post(room_->context, [room = room_.get()] {
        for (const auto& connection : room->connections) connection->version_changed();
    });
}

void ReadServer::conduct(const LinkConduct& conduct) {
    asio::post(room_->context, [room = room_.get(), conduct] {
        room->conduct = conduct;
        if (!conduct.lost) return;
        for (const auto& connection : room->connections) connection->close();
    });
}

}  // namespace freshet::modbus
