// Reports the state of the process to a service manager: ready, alive, stopping, and a line of status.
// One reason to change: the notification protocol of service managers.
//
// Datagrams of "NAME=value" lines to the AF_UNIX socket that NOTIFY_SOCKET names, as sd_notify(3) describes
// (a name that begins with '@' is abstract). Without NOTIFY_SOCKET no message is sent. A manager that does
// not listen is not an error.
#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <string_view>

namespace freshet::service {

class Notice {
  public:
    using Clock = std::chrono::steady_clock;

    /// The wishes of the manager. Empty `socket`: no messages. Zero `watchdog`: no watchdog.
    struct Request {
        std::string socket;
        std::chrono::microseconds watchdog{0};
    };
    /// Reads NOTIFY_SOCKET, WATCHDOG_USEC and WATCHDOG_PID. A watchdog for another process is ignored. A
    /// value that is not a number is ignored.
    static Request request_from_environment();

    explicit Notice(const Request& request);
    ~Notice();
    Notice(const Notice&) = delete;
    Notice& operator=(const Notice&) = delete;

    /// Call after each completed scan. The first valid scan sends READY. Until then each call asks the
    /// manager to extend its time-out. A message that the manager has no room for is sent again after the
    /// next scan. After READY the call feeds the watchdog, at most four times in its period. Only this call
    /// feeds the watchdog, so that the watchdog acts when the scans stop.
    void scan_completed(bool valid, Clock::time_point now);
    /// Whether a line of status may be sent now: a manager listens, and the last line is at least a second
    /// old.
    bool wants_status(Clock::time_point now) const;
    /// Sends a line for people if the line changed.
    void status(std::string_view text, Clock::time_point now);
    /// Call at the beginning of an orderly end.
    void stopping();

  private:
    bool send(const std::string& message) noexcept;

    Request request_;
    int descriptor_ = -1;
    bool seen_ = false;   ///< a scan was valid
    bool ready_ = false;  ///< the manager knows that a scan was valid
    std::optional<Clock::time_point> fed_at_, patience_at_, status_at_;
    std::string sent_status_;
};

}  // namespace freshet::service
