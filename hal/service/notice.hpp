// Tells a service manager how the process is: ready, alive, stopping, and a line of status.
// One reason to change: the notification protocol of service managers.
//
// Datagrams of "NAME=value" lines to the AF_UNIX socket that NOTIFY_SOCKET names ('@' first: an abstract
// one), as sd_notify(3) describes. Without NOTIFY_SOCKET nothing is sent, and a manager that does not listen
// is no error.
#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <string_view>

namespace freshet::service {

class Notice {
  public:
    using Clock = std::chrono::steady_clock;

    /// What the manager asked for: `socket` empty: nothing. `watchdog` zero: no watchdog.
    struct Request {
        std::string socket;
        std::chrono::microseconds watchdog{0};
    };
    /// From NOTIFY_SOCKET, WATCHDOG_USEC and WATCHDOG_PID (a watchdog for another process is not ours). A
    /// value that is no number counts as none.
    static Request request_from_environment();

    explicit Notice(const Request& request);
    ~Notice();
    Notice(const Notice&) = delete;
    Notice& operator=(const Notice&) = delete;

    /// A scan is complete. The first valid one says READY; until then the manager is asked for patience.
    /// What a manager slow to read has no room for is said again after the next scan.
    /// After that the watchdog is fed, at most four times in its period: by this call alone, so that it
    /// starves when scans stop.
    void scan_completed(bool valid, Clock::time_point now);
    /// Whether a line of status may go out now: somebody listens, and the last one is a second old.
    bool wants_status(Clock::time_point now) const;
    /// A line for people, sent when it changed.
    void status(std::string_view text, Clock::time_point now);
    /// An orderly end has begun.
    void stopping();

  private:
    bool send(const std::string& message) noexcept;

    Request request_;
    int descriptor_ = -1;
    bool seen_ = false;   ///< a scan was valid
    bool ready_ = false;  ///< and the manager knows
    std::optional<Clock::time_point> fed_at_, patience_at_, status_at_;
    std::string told_status_;
};

}  // namespace freshet::service
