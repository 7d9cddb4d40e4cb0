// Records true values and advice side by side.
// One reason to change: see the header.
#include "sim_plant/process/plant_record.hpp"

#include <utility>

#include "controller/record/trend_row.hpp"
#include "controller/report/report.hpp"
#include "sim_plant/bench/bench.hpp"

namespace freshet::plant_process {

tl::expected<PlantRecord, std::string> PlantRecord::open(const std::string& folder,
                                                         const config::Scenario& scenario,
                                                         const config::StationFile& station) {
    PlantRecord made;
    made.pump_count_ = station.station.pump_count;
    if (folder.empty()) return made;
    auto record = record::RunRecord::open(
        folder, {scenario.name, scenario.title, station.station.name, true, station.settings},
        report::report_html, record::RunRecord::Journal::none);
    if (!record) return tl::unexpected(record.error().message);
    made.record_.emplace(std::move(*record));
    return made;
}

void PlantRecord::ordered(const plant::Plant& plant, std::span<const Obeyed> orders) {
    if (!record_) return;
    for (const Obeyed& order : orders) {
        std::string_view what;
        switch (order.outcome) {
            case Obeyed::Outcome::set:
                what = "set";
                break;
            case Obeyed::Outcome::cleared:
                what = "cleared";
                break;
            case Obeyed::Outcome::refused:
                what = "refused";
                break;
            case Obeyed::Outcome::nothing_asked:
            case Obeyed::Outcome::listed:
                continue;
        }
        std::string_view answer = order.answer;
        if (answer.ends_with('\n')) answer.remove_suffix(1);
        record_->fault({.time_ms = plant.time_ms(),
                        .by = "instructor",
                        .what = what,
                        .device = order.device,
                        .kind = order.kind,
                        .amount = order.amount,
                        .order = order.order,
                        .answer = answer});
    }
    faults_.skip_changes(plant);
}

void PlantRecord::stepping(const plant::Plant& plant, const modbus::AdviceRead& read) {
    if (!record_) return;
    scan_.time_ms = plant.time_ms();
    if (!record_->scanned(scan_)) return;
    record::TrendRow row;
    if (read.whole) record::set_from_advice(row, read);
    // Advice that the station follows may be older than the row.
    row.time_ms = plant.time_ms();
    bench::set_from_plant(row, plant, pump_count_);
    record_->trend(row);
}

std::optional<std::string> PlantRecord::close(const record::RunSummary& summary) {
    if (!record_) return std::nullopt;
    const auto failure = record_->close(summary);
    return failure ? std::optional(failure->message) : std::nullopt;
}

}  // namespace freshet::plant_process
