// Signals that stop a program: the first SIGTERM or SIGINT for an orderly end, the second for an end at once.
// One reason to change: the meaning of a signal.
#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <functional>
#include <mutex>
#include <thread>

namespace freshet::service {

/// Construct this object first in main, before any thread. Every later thread blocks the signals, and a
/// thread of this object takes them. A second signal ends the process at once with exit code 3.
class StopSignal {
  public:
    StopSignal();
    ~StopSignal();
    StopSignal(const StopSignal&) = delete;
    StopSignal& operator=(const StopSignal&) = delete;

    bool asked() const { return asked_.load(std::memory_order_relaxed); }
    /// Waits for a stop signal or until `when`. True: a stop signal came.
    bool wait_until(std::chrono::steady_clock::time_point when);

  private:
    std::atomic<bool> asked_{false};
    std::atomic<bool> closing_{false};
    std::mutex mutex_;
    std::condition_variable wake_;
    std::thread thread_;
};

}  // namespace freshet::service
