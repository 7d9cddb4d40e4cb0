// The file journal.jsonl has one JSON object in a line for every event. All times are station time, so that a
// program can compare two runs byte for byte. One reason to change: the content of a journal line.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <tl/expected.hpp>

#include "controller/core/advice.hpp"
#include "hal/store/appended_file.hpp"

namespace freshet::record {

/// Appends one line without its line end. The order of the keys is seq, time, what, detail, pump, why,
/// values, cause. `pump` counts from 1, or is null. `values` holds the values of the reason by name. A NaN
/// becomes null. `cause` is the seq of the event that led to this event, or null.
void append_journal_line(std::string& out, std::int64_t time_ms, const core::Event& event);

class JournalWriter {
  public:
    static tl::expected<JournalWriter, store::StoreError> create(const std::filesystem::path& path);

    /// Appends the events of one scan. Does nothing when the scan has no events.
    void append(const core::Advice& advice) noexcept {
        if (advice.event_count != 0) append_events(advice);
    }

    void sync() noexcept { file_.sync(); }
    const std::optional<store::StoreError>& failure() const noexcept { return file_.failure(); }

  private:
    explicit JournalWriter(store::AppendedFile file) : file_(std::move(file)) {}
    void append_events(const core::Advice& advice) noexcept;

    store::AppendedFile file_;
    std::string batch_;
};

}  // namespace freshet::record
