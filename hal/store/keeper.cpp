// A thread that writes the latest data; see the header.
#include "hal/store/keeper.hpp"

#include <utility>

namespace freshet::store {

bool changed_for_good(const core::Retained& before, const core::Retained& now) {
    core::Retained grown = before;
    grown.seen_ms = now.seen_ms;
    for (std::size_t pump = 0; pump < grown.pumps.size(); ++pump) {
        const std::int64_t run_ms = now.pumps[pump].run_ms;
        if (run_ms - grown.pumps[pump].run_ms < hours_lost_ms) grown.pumps[pump].run_ms = run_ms;
    }
    return grown != now;
}

Keeper::Keeper(KeptFile file) : file_(std::move(file)) {
    thread_ = std::thread([this] { run(); });
}

Keeper::~Keeper() {
    close();
}

void Keeper::offer(const core::Retained& now) {
    const std::lock_guard lock(mutex_);
    offered_ = now;
}

std::optional<std::string> Keeper::news() {
    const std::lock_guard lock(mutex_);
    return std::exchange(news_, std::nullopt);
}

void Keeper::keep(bool last) {
    std::optional<core::Retained> now;
    {
        const std::lock_guard lock(mutex_);
        now = offered_;
    }
    if (!now || (failure_ && failure_->lasting)) return;
    const auto at = std::chrono::steady_clock::now();
    const std::optional<core::Retained>& written = file_.written();
    if (written && !last && !changed_for_good(*written, *now) && at - written_at_ < seen_at_least) return;
    auto failure = file_.write(*now);
    if (!failure) written_at_ = at;
    const bool tell = failure.has_value() != failure_.has_value();
    failure_ = std::move(failure);
    if (!tell) return;
    const std::lock_guard lock(mutex_);
    news_ = failure_ ? failure_->message : file_.path().string() + ": writing works again";
}

void Keeper::run() {
    std::unique_lock lock(mutex_);
    while (!wake_.wait_for(lock, pause, [this] { return closing_; })) {
        lock.unlock();
        keep(false);
        lock.lock();
    }
}

std::optional<StoreError> Keeper::close() {
    if (thread_.joinable()) {
        {
            const std::lock_guard lock(mutex_);
            closing_ = true;
        }
        wake_.notify_all();
        thread_.join();
        keep(true);
    }
    if (!failure_) return std::nullopt;
    return StoreError{failure_->message};
}

}  // namespace freshet::store
