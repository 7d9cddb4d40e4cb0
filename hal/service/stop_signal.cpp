// A waiting thread takes the signals, so that no signal handler runs.
// One reason to change: see the header.
#include "hal/service/stop_signal.hpp"

#include <csignal>
#include <cstdlib>

#include <pthread.h>

#include "hal/service/exit_code.hpp"

namespace freshet::service {
namespace {

sigset_t stop_set() {
    sigset_t set;
    sigemptyset(&set);
    sigaddset(&set, SIGTERM);
    sigaddset(&set, SIGINT);
    return set;
}

}  // namespace

StopSignal::StopSignal() {
    // With SIGPIPE ignored, a write to a closed socket returns an error code and does not end the process.
    (void)std::signal(SIGPIPE, SIG_IGN);
    const sigset_t set = stop_set();
    (void)pthread_sigmask(SIG_BLOCK, &set, nullptr);
    thread_ = std::thread([this, set] {
        for (;;) {
            int got = 0;
            if (sigwait(&set, &got) != 0) continue;
            if (closing_) return;
            if (asked_) std::_Exit(exit_failure);
            {
                const std::lock_guard lock(mutex_);
                asked_ = true;
            }
            wake_.notify_all();
        }
    });
}

StopSignal::~StopSignal() {
    closing_ = true;
    (void)pthread_kill(thread_.native_handle(), SIGINT);
    thread_.join();
}

bool StopSignal::wait_until(std::chrono::steady_clock::time_point when) {
    std::unique_lock lock(mutex_);
    wake_.wait_until(lock, when, [this] { return asked_.load(); });
    return asked_;
}

}  // namespace freshet::service
