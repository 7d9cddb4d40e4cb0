// Notices to a service manager. A socket of the test plays the manager.
#include "hal/service/notice.hpp"

#include <gtest/gtest.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <cerrno>
#include <cstddef>
#include <cstring>
#include <string>
#include <vector>

#include "tests/doubles/scratch_folder.hpp"

namespace freshet::service {
namespace {

using namespace std::chrono_literals;
using Clock = Notice::Clock;

/// Listens at a path, or at an abstract name when it begins with '@'.
class Manager {
  public:
    explicit Manager(const std::string& name) {
        sockaddr_un address{};
        address.sun_family = AF_UNIX;
        std::memcpy(address.sun_path, name.data(), name.size());
        if (name[0] == '@') address.sun_path[0] = '\0';
        descriptor_ = ::socket(AF_UNIX, SOCK_DGRAM | SOCK_NONBLOCK, 0);
        const auto length = static_cast<socklen_t>(offsetof(sockaddr_un, sun_path) + name.size());
        bound_ = ::bind(descriptor_, reinterpret_cast<const sockaddr*>(&address), length) == 0;
    }
    ~Manager() { ::close(descriptor_); }
    bool bound() const { return bound_; }
    /// Other processes write to the socket until it is full.
    void fill() const {
        sockaddr_un address{};
        socklen_t length = sizeof address;
        ASSERT_EQ(::getsockname(descriptor_, reinterpret_cast<sockaddr*>(&address), &length), 0);
        const int other = ::socket(AF_UNIX, SOCK_DGRAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
        while (::sendto(other, "x", 1, 0, reinterpret_cast<const sockaddr*>(&address), length) == 1) continue;
        EXPECT_EQ(errno, EAGAIN);
        ::close(other);
    }
    std::vector<std::string> heard() const {
        std::vector<std::string> all;
        char text[512];
        for (ssize_t size = 0; (size = ::recv(descriptor_, text, sizeof text, 0)) >= 0;)
            all.emplace_back(text, static_cast<std::size_t>(size));
        return all;
    }

  private:
    int descriptor_ = -1;
    bool bound_ = false;
};

using Said = std::vector<std::string>;
constexpr Clock::time_point begin{1000s};

TEST(Notice, says_ready_after_the_first_valid_scan_and_extends_the_time_out_before) {
    const doubles::ScratchFolder folder;
    const std::string path = folder / "notify";
    const Manager manager(path);
    ASSERT_TRUE(manager.bound());
    Notice notice({path, 0us});
    notice.scan_completed(false, begin);
    notice.scan_completed(false, begin + 1s);
    EXPECT_EQ(manager.heard(), Said{"EXTEND_TIMEOUT_USEC=30000000"});
    notice.scan_completed(false, begin + 11s);
    EXPECT_EQ(manager.heard(), Said{"EXTEND_TIMEOUT_USEC=30000000"});
    notice.scan_completed(true, begin + 12s);
    notice.scan_completed(true, begin + 13s);
    notice.scan_completed(false, begin + 14s);
    EXPECT_EQ(manager.heard(), Said{"READY=1"});
}

TEST(Notice, is_sent_again_after_the_next_scan_to_a_manager_that_had_no_room) {
    const doubles::ScratchFolder folder;
    const std::string path = folder / "notify";
    const Manager manager(path);
    Notice notice({path, 2s});
    manager.fill();
    notice.scan_completed(true, begin);
    notice.status("one", begin);
    manager.heard();
    // A station that was read once stays ready, even if the next scan reads nothing.
    notice.scan_completed(false, begin + 100ms);
    EXPECT_EQ(manager.heard(), (Said{"READY=1", "WATCHDOG=1"}));
    notice.scan_completed(true, begin + 200ms);
    EXPECT_EQ(manager.heard(), Said{});
    notice.status("one", begin + 1s);
    EXPECT_EQ(manager.heard(), Said{"STATUS=one"});
}

TEST(Notice, reaches_an_abstract_socket) {
    const std::string name = "@freshet-notice-test-" + std::to_string(::getpid());
    const Manager manager(name);
    ASSERT_TRUE(manager.bound());
    Notice notice({name, 0us});
    notice.stopping();
    EXPECT_EQ(manager.heard(), Said{"STOPPING=1"});
}

TEST(Notice, feeds_the_watchdog_from_completed_scans_only_and_in_good_time) {
    const doubles::ScratchFolder folder;
    const std::string path = folder / "notify";
    const Manager manager(path);
    Notice notice({path, 2s});
    notice.scan_completed(true, begin);
    EXPECT_EQ(manager.heard(), (Said{"READY=1", "WATCHDOG=1"}));
    notice.status("a scan that hangs still has a status", begin + 5s);
    EXPECT_EQ(manager.heard().size(), 1U) << "the status, and no food";
    std::size_t fed = 0;
    for (int scan = 1; scan <= 100; ++scan) {
        notice.scan_completed(scan % 2 == 0, begin + 10s + scan * 100ms);
        fed += manager.heard().size();
    }
    EXPECT_EQ(fed, 20U) << "ten seconds, four times in two seconds, good data or bad";
}

TEST(Notice, sends_a_status_when_it_changed_and_once_a_second_at_most) {
    const doubles::ScratchFolder folder;
    const std::string path = folder / "notify";
    const Manager manager(path);
    Notice notice({path, 0us});
    notice.status("one", begin);
    notice.status("one", begin + 2s);
    notice.status("two", begin + 3s);
    notice.status("three", begin + 3500ms);
    notice.status("three", begin + 4s);
    EXPECT_EQ(manager.heard(), (Said{"STATUS=one", "STATUS=two", "STATUS=three"}));
}

TEST(Notice, without_a_manager_or_with_a_missing_manager_says_nothing_and_fails_nothing) {
    Notice none({"", 2s});
    none.scan_completed(true, begin);
    EXPECT_FALSE(none.wants_status(begin));
    const doubles::ScratchFolder folder;
    Notice absent({(folder / "notify").string(), 2s});
    absent.scan_completed(true, begin);
    absent.stopping();
    Notice no_path({"relative/path", 2s});
    EXPECT_FALSE(no_path.wants_status(begin));
    Notice too_long({"/" + std::string(300, 'x'), 2s});
    EXPECT_FALSE(too_long.wants_status(begin));
}

TEST(NoticeRequest, is_read_from_the_environment_and_ignores_the_watchdog_of_another_process) {
    ::setenv("NOTIFY_SOCKET", "@manager", 1);
    ::setenv("WATCHDOG_USEC", "3000000", 1);
    ::unsetenv("WATCHDOG_PID");
    EXPECT_EQ(Notice::request_from_environment().socket, "@manager");
    EXPECT_EQ(Notice::request_from_environment().watchdog, 3s);
    ::setenv("WATCHDOG_PID", std::to_string(::getpid()).c_str(), 1);
    EXPECT_EQ(Notice::request_from_environment().watchdog, 3s);
    ::setenv("WATCHDOG_PID", "1", 1);
    EXPECT_EQ(Notice::request_from_environment().watchdog, 0us);
    ::unsetenv("WATCHDOG_PID");
    for (const char* nonsense : {"", "soon", "-5", "12x"}) {
        ::setenv("WATCHDOG_USEC", nonsense, 1);
        EXPECT_EQ(Notice::request_from_environment().watchdog, 0us) << nonsense;
    }
    ::unsetenv("NOTIFY_SOCKET");
    ::unsetenv("WATCHDOG_USEC");
}

}  // namespace
}  // namespace freshet::service
