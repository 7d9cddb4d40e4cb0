// The record of a run is a folder with journal.jsonl, trend.csv, summary.json and report.html. The folder
// also has faults.jsonl when a simulated station had faults.
// One reason to change: the files of a record, and the order in which they appear.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <tl/expected.hpp>

#include "controller/record/fault_log.hpp"
#include "controller/record/journal_writer.hpp"
#include "controller/record/plot_data.hpp"
#include "controller/record/reported_events.hpp"
#include "controller/record/run_summary.hpp"
#include "controller/record/run_title.hpp"
#include "controller/record/trend_writer.hpp"

namespace freshet::record {

/// Writes report.html of a run. The program that opens the record passes the writer, so that the formats of a
/// record do not depend on the page for people.
using ReportWriter = std::string (*)(const RunTitle& title, const RunSummary& summary, const PlotData& data,
                                     const ReportedEvents& events);

/// The caller opens the record before the first scan. The caller passes each scan to the record. The caller
/// closes the record with the summary. Each scan with events and each trend row is one write(2). close()
/// writes everything else.
///
/// A new record overwrites a finished record in the folder. A record without a summary comes from a run that
/// crashed. The new record first moves the files of that run into a subfolder "unfinished-1",
/// "unfinished-2", ... and keeps the files.
class RunRecord {
  public:
    /// A station that decides nothing has no journal.
    enum class Journal : std::uint8_t { kept, none };
    static tl::expected<RunRecord, store::StoreError> open(const std::filesystem::path& folder,
                                                           RunTitle title, ReportWriter report,
                                                           Journal journal = Journal::kept);

    /// Call at each scan. Returns true when a trend row is due. The caller then fills a row and calls
    /// `trend`.
    bool scanned(const core::Advice& advice) noexcept {
        if (advice.event_count != 0) {
            if (journal_) journal_->append(advice);
            reported_.add(advice);
        }
        return advice.time_ms >= next_row_ms_;
    }

    /// From now on the record writes the trend a batch of rows at a time; see TrendWriter. The journal still
    /// has one write for each scan.
    void write_trend_in_batches() noexcept { trend_.write_in_batches(); }

    /// Adds a row. A row is due once a second of station time. The row also goes into the plots of the
    /// report.
    void trend(const TrendRow& row) noexcept;

    /// Writes the begin or the end of a fault, or an order of an instructor, at once.
    void fault(const FaultNews& news) { faults_.append(news); }

    /// Writes summary.json and report.html. The record writes each file whole or not at all. Returns the
    /// first failure of any file.
    std::optional<store::StoreError> close(const RunSummary& summary);

    /// Returns the first failure so far. A process can report this failure while the process runs.
    std::optional<store::StoreError> failure() const;

    const std::filesystem::path& folder() const noexcept { return folder_; }

  private:
    RunRecord(std::filesystem::path folder, RunTitle title, ReportWriter report,
              std::optional<JournalWriter> journal, TrendWriter trend);

    std::filesystem::path folder_;
    RunTitle title_;
    ReportWriter report_;
    std::optional<JournalWriter> journal_;
    FaultLog faults_;
    TrendWriter trend_;
    std::int64_t next_row_ms_ = core::never_ms;
    PlotData plots_;
    ReportedEvents reported_;
};

}  // namespace freshet::record
