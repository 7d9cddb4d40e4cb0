// Writes retentive data in a thread of its own, so that a slow disk never delays a scan.
// One reason to change: when the data are written.
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "hal/store/kept_file.hpp"

namespace freshet::store {

/// Running hours that may be lost when the process is killed. More frequent writes would wear a flash disk
/// without need.
inline constexpr std::int64_t hours_lost_ms = 30'000;

/// Whether a change must be written at once. Two changes can wait: the time when the station was last seen,
/// and hours that grew by less than `hours_lost_ms`.
bool changed_for_good(const core::Retained& before, const core::Retained& now);

/// A thread writes the data that were offered last: within half a second after a change that must be written
/// at once, and twice a minute for the other changes. A kill loses no more than this time and one write.
class Keeper {
  public:
    explicit Keeper(KeptFile file);
    ~Keeper();
    Keeper(const Keeper&) = delete;
    Keeper& operator=(const Keeper&) = delete;

    /// Replaces the data that were offered before. Takes only the time of a copy.
    void offer(const core::Retained& now);

    /// A new message for people, once: a failed write, or that writing works again.
    std::optional<std::string> news();

    /// Writes the data that were offered last and ends. Gives the failure when the data did not reach the
    /// disk.
    std::optional<StoreError> close();

  private:
    void keep(bool last);
    void run();

    static constexpr std::chrono::milliseconds pause{500};
    static constexpr std::chrono::seconds seen_at_least{30};

    KeptFile file_;
    std::mutex mutex_;
    std::condition_variable wake_;
    bool closing_ = false;
    std::optional<core::Retained> offered_;
    std::optional<std::string> news_;

    // Used by the thread, and by close() after the end of the thread.
    std::chrono::steady_clock::time_point written_at_;
    std::optional<KeptFailure> failure_;
    std::thread thread_;
};

}  // namespace freshet::store
