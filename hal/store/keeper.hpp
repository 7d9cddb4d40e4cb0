// Writes retentive data beside the scan, so that a slow disk never holds a scan up.
// One reason to change: when what is kept is written.
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

/// Hours that may be lost at a kill. Written at every look, they would wear a flash disk for nothing.
inline constexpr std::int64_t hours_lost_ms = 30'000;

/// Whether something changed that must be written at once: all but when the station was last seen, and hours
/// that grew by less than `hours_lost_ms`.
bool changed_for_good(const core::Retained& before, const core::Retained& now);

/// What was offered last is written by a thread of its own, within half a second when it changed for good;
/// that the station was seen at all, twice a minute. A kill loses no more than that and one write.
class Keeper {
  public:
    explicit Keeper(KeptFile file);
    ~Keeper();
    Keeper(const Keeper&) = delete;
    Keeper& operator=(const Keeper&) = delete;

    /// The latest wins. Waits for nothing but a copy.
    void offer(const core::Retained& now);

    /// What people must hear of writing: a failure, or that it works again; each once.
    std::optional<std::string> news();

    /// Writes what was offered last and ends. Says why when that did not reach the disk.
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

    // Of the thread alone, and of close() after it ended.
    std::chrono::steady_clock::time_point written_at_;
    std::optional<KeptFailure> failure_;
    std::thread thread_;
};

}  // namespace freshet::store
