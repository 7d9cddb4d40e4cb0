// Opens, fills and closes the files. An old summary or report never remains next to a new journal.
#include "controller/record/run_record.hpp"

#include <system_error>
#include <utility>

#include "controller/record/summary_json.hpp"

namespace freshet::record {
namespace {

namespace fs = std::filesystem;

constexpr const char* journal_name = "journal.jsonl";
constexpr const char* faults_name = "faults.jsonl";
constexpr const char* trend_name = "trend.csv";
constexpr const char* summary_name = "summary.json";
constexpr const char* report_name = "report.html";

std::optional<store::StoreError> failed(const fs::path& path, const char* what, const std::error_code& code) {
    if (!code) return std::nullopt;
    return store::StoreError{path.string() + ": " + what + ": " + code.message()};
}

/// Moves the files of a crashed run into the first free folder "unfinished-N".
std::optional<store::StoreError> keep_unfinished(const fs::path& folder) {
    std::error_code code;
    const bool begun = fs::exists(folder / journal_name, code) || fs::exists(folder / trend_name, code);
    const bool unfinished = begun && !fs::exists(folder / summary_name, code);
    if (!unfinished) return failed(folder, "cannot read the folder", code);
    int number = 1;
    while (fs::exists(folder / ("unfinished-" + std::to_string(number)), code)) ++number;
    const fs::path kept = folder / ("unfinished-" + std::to_string(number));
    fs::create_directory(kept, code);
    if (auto error = failed(kept, "cannot create the folder", code)) return error;
    for (const char* name : {journal_name, faults_name, trend_name}) {
        if (!fs::exists(folder / name, code)) continue;
        fs::rename(folder / name, kept / name, code);
        if (auto error = failed(folder / name, "cannot move", code)) return error;
    }
    return std::nullopt;
}

std::optional<store::StoreError> prepare(const fs::path& folder) {
    std::error_code code;
    fs::create_directories(folder, code);
    if (auto error = failed(folder, "cannot create the folder", code)) return error;
    if (auto error = keep_unfinished(folder)) return error;
    for (const char* name : {summary_name, report_name, journal_name, faults_name}) {
        fs::remove(folder / name, code);
        if (auto error = failed(folder / name, "cannot remove", code)) return error;
    }
    return std::nullopt;
}

}  // namespace

RunRecord::RunRecord(fs::path folder, RunTitle title, ReportWriter report,
                     std::optional<JournalWriter> journal, TrendWriter trend)
    : folder_(std::move(folder)),
      title_(std::move(title)),
      report_(report),
      journal_(std::move(journal)),
      faults_(folder_ / faults_name),
      trend_(std::move(trend)) {}

tl::expected<RunRecord, store::StoreError> RunRecord::open(const fs::path& folder, RunTitle title,
                                                           ReportWriter report, Journal journal) {
    if (auto error = prepare(folder)) return tl::make_unexpected(std::move(*error));
    std::optional<JournalWriter> writer;
    if (journal == Journal::kept) {
        auto made = JournalWriter::create(folder / journal_name);
        if (!made) return tl::make_unexpected(std::move(made.error()));
        writer.emplace(std::move(*made));
    }
    auto trend = TrendWriter::create(folder / trend_name, title.settings.pump_count);
    if (!trend) return tl::make_unexpected(std::move(trend.error()));
    return RunRecord(folder, std::move(title), report, std::move(writer), std::move(*trend));
}

void RunRecord::trend(const TrendRow& row) noexcept {
    trend_.append(row);
    plots_.add(row, title_.settings.pump_count);
    // Rows are due at whole seconds of station time, so that a late row does not delay all later rows.
    const std::int64_t second = row.time_ms / 1000;
    next_row_ms_ = (second + 1) * 1000;
}

std::optional<store::StoreError> RunRecord::failure() const {
    if (journal_ && journal_->failure()) return journal_->failure();
    return faults_.failure() ? faults_.failure() : trend_.failure();
}

std::optional<store::StoreError> RunRecord::close(const RunSummary& summary) {
    if (journal_) journal_->sync();
    faults_.sync();
    trend_.sync();
    auto report = store::replace_file(folder_ / report_name, report_(title_, summary, plots_, reported_));
    // The record writes the summary last. Therefore a record with a summary is complete.
    auto figures = store::replace_file(folder_ / summary_name, summary_json(summary));
    if (auto earlier = failure()) return earlier;
    return report ? report : figures;
}

}  // namespace freshet::record
