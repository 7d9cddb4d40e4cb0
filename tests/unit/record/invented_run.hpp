// An invented run of a station that does not exist, for tests of the record and of the report.
// One reason to change: what the tests of both need of a run.
#pragma once

#include <cmath>
#include <cstdint>
#include <string>

#include "controller/record/run_record.hpp"

namespace freshet::record::invented {

inline constexpr std::int64_t storm_ms = 1938081600000;    // 2031-06-01T12:00:00.000Z
inline constexpr std::int64_t odd_ms = 1'931'234'567'300;  ///< so that a fault with time zero shows
inline constexpr std::int64_t scan_ms = 100;

inline RunTitle invented_station() {
    RunTitle title;
    title.scenario = "invented storm";
    title.title = "a storm that never was";
    title.station = "Invented <Station> & Sons";
    title.settings.pump_count = 3;
    title.settings.marks = {.setpoint_m = 2,
                            .deadband_m = 0.05,
                            .start_m = 2.2,
                            .stop_m = 1,
                            .stage_up_m = 2.6,
                            .stage_down_m = 1.5,
                            .low_cutoff_m = 0.6,
                            .high_alarm_m = 3.2};
    title.settings.drive.speed_max_hz = 60;
    return title;
}

inline RunSummary summary_of_invented_station() {
    RunSummary summary;
    summary.scenario = "invented storm";
    summary.station = "Invented <Station> & Sons";
    summary.pump_count = 3;
    summary.hand_overs = 4;
    summary.starts_per_pump = {5, 6, 7};
    summary.level_max_m = 2.75;
    summary.measured_uncertain_s = 1;
    summary.measured_bad_s = 1.5;
    summary.measured_not_good_s_by_cause = {{"stale", 1.5}};
    summary.alarms_by_name = {{"value_high", 2}};
    return summary;
}

inline core::Advice scan_at(std::int64_t time_ms) {
    core::Advice advice;
    advice.time_ms = time_ms;
    return advice;
}

/// Runs a record over so many seconds with a level that waves and pumps that change.
inline void record_seconds(RunRecord& record, int seconds) {
    for (std::int64_t t = 0; t < seconds * 1000; t += scan_ms) {
        if (!record.scanned(scan_at(storm_ms + t))) continue;
        TrendRow row;
        row.time_ms = storm_ms + t;
        row.level_m = 2 + std::sin(static_cast<double>(t) * 1e-5) + 0.1 * std::sin(static_cast<double>(t));
        row.measured_m = row.level_m + 0.01;
        row.inflow_m3s = 0.5;
        row.rain_mm_h = 12;
        row.pump_state[0] = t / 600'000 % 2 == 0 ? core::PumpState::on_drive : core::PumpState::on_line;
        row.pump_state[1] = t / 600'000 % 2 == 0 ? core::PumpState::off : core::PumpState::on_drive;
        record.trend(row);
    }
}

/// Takes the place of the report's writer.
inline std::string no_page(const RunTitle& /*title*/, const RunSummary& /*summary*/, const PlotData& /*data*/,
                           const ReportedEvents& /*events*/) {
    return {};
}

}  // namespace freshet::record::invented
