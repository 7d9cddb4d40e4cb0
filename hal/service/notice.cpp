// Datagrams to a service manager; see the header.
#include "hal/service/notice.hpp"

#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <cerrno>
#include <charconv>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <cstring>

namespace freshet::service {
namespace {

using std::chrono::seconds;

std::string_view variable(const char* name) {
    const char* value = std::getenv(name);
    return value != nullptr ? std::string_view(value) : std::string_view();
}

std::optional<std::int64_t> number(std::string_view text) {
    std::int64_t value = 0;
    const auto read = std::from_chars(text.data(), text.data() + text.size(), value);
    if (read.ec != std::errc{} || read.ptr != text.data() + text.size() || value <= 0) return std::nullopt;
    return value;
}

constexpr seconds patience{30};  // requested while no station has been read
constexpr int feeds_per_period = 4;

}  // namespace

Notice::Request Notice::request_from_environment() {
    Request request;
    request.socket = variable("NOTIFY_SOCKET");
    const auto period = number(variable("WATCHDOG_USEC"));
    const std::string_view whose = variable("WATCHDOG_PID");
    const bool ours = whose.empty() || number(whose) == std::int64_t{::getpid()};
    if (period && ours) request.watchdog = std::chrono::microseconds(*period);
    return request;
}

Notice::Notice(const Request& request) : request_(request) {
    sockaddr_un address{};
    if (request_.socket.empty() || request_.socket.size() >= sizeof address.sun_path) return;
    if (request_.socket.front() != '@' && request_.socket.front() != '/') return;
    descriptor_ = ::socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
}

Notice::~Notice() {
    if (descriptor_ >= 0) ::close(descriptor_);
}

/// Sends a message. False: the manager has no room at present, and the message must be sent again.
bool Notice::send(const std::string& message) noexcept {
    if (descriptor_ < 0) return true;
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    std::memcpy(address.sun_path, request_.socket.data(), request_.socket.size());
    // An abstract name begins with a zero byte and ends with the length, not with a zero.
    if (address.sun_path[0] == '@') address.sun_path[0] = '\0';
    const auto length = static_cast<socklen_t>(offsetof(sockaddr_un, sun_path) + request_.socket.size());
    // A slow manager must not delay a scan. Without a manager no message is sent.
    const ssize_t sent = ::sendto(descriptor_, message.data(), message.size(), MSG_NOSIGNAL,
                                  reinterpret_cast<const sockaddr*>(&address), length);
    return sent >= 0 || (errno != EAGAIN && errno != ENOBUFS && errno != EINTR);
}

void Notice::scan_completed(bool valid, Clock::time_point now) {
    if (descriptor_ < 0) return;
    seen_ = seen_ || valid;
    if (!ready_ && seen_) ready_ = send("READY=1");
    if (!seen_ && (!patience_at_ || now - *patience_at_ >= patience / 3)) {
        const auto asked = std::chrono::duration_cast<std::chrono::microseconds>(patience);
        if (send("EXTEND_TIMEOUT_USEC=" + std::to_string(asked.count()))) patience_at_ = now;
    }
    if (!ready_ || request_.watchdog.count() == 0) return;
    if (fed_at_ && now - *fed_at_ < request_.watchdog / feeds_per_period) return;
    if (send("WATCHDOG=1")) fed_at_ = now;
}

bool Notice::wants_status(Clock::time_point now) const {
    return descriptor_ >= 0 && !(status_at_ && now - *status_at_ < seconds(1));
}

void Notice::status(std::string_view text, Clock::time_point now) {
    if (!wants_status(now) || text == sent_status_) return;
    status_at_ = now;
    if (send("STATUS=" + std::string(text))) sent_status_ = text;
}

void Notice::stopping() {
    send("STOPPING=1");
}

}  // namespace freshet::service
