// Being asked to stop: SIGTERM or SIGINT once means orderly, twice means at once.
// One reason to change: which signals mean what.
#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <functional>
#include <mutex>
#include <thread>

namespace freshet::service {

/// Construct it first in main, before any thread: the signals are blocked in every thread begun later and
/// taken by one thread of its own. A second signal ends the process at once with exit code 3.
class StopSignal {
  public:
    StopSignal();
    ~StopSignal();
    StopSignal(const StopSignal&) = delete;
    StopSignal& operator=(const StopSignal&) = delete;

    bool asked() const { return asked_.load(std::memory_order_relaxed); }
    /// Waits until asked or until `when`; returns whether asked.
    bool wait_until(std::chrono::steady_clock::time_point when);

  private:
    std::atomic<bool> asked_{false};
    std::atomic<bool> closing_{false};
    std::mutex mutex_;
    std::condition_variable wake_;
    std::thread thread_;
};

}  // namespace freshet::service
