// Time limits against what contactors, scans and sequences take; speed limits against the drive.
// One reason to change: a time that must not be shorter than another.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string_view>

#include "config/engineering/checks.hpp"
#include "config/engineering/proposal.hpp"

namespace freshet::config {

/// From warm a motor may start less often than from cold. Its rest between starts is no longer than its
/// cooling.
void check_succession(Findings& findings, const core::Settings& settings) {
    const core::Settings::Succession& rule = settings.succession;
    if (rule.cold_starts_max == 0) return;
    if (rule.warm_starts_max > rule.cold_starts_max)
        refuse(
            findings, "control.succession.warm_starts",
            fmt::format(
                "warm_starts is {}, but cold_starts is {}; expected no more starts from warm than from cold",
                rule.warm_starts_max, rule.cold_starts_max));
    if (rule.rest_ms > rule.cool_ms)
        refuse(findings, "control.succession.rest",
               fmt::format("rest is {:g} min, but cool is {:g} min; expected a rest no longer than cool",
                           static_cast<double>(rule.rest_ms) / ms_per_min,
                           static_cast<double>(rule.cool_ms) / ms_per_min));
}

void check_times(Findings& findings, const Station& station, const core::Settings& settings) {
    const double scan_s = settings.scan_ms / ms_per_s;
    const auto longer = [&](std::string_view table, std::string_view key, std::int32_t limit_ms,
                            double needed_s, std::string_view what) {
        if (limit_ms < std::round(needed_s * ms_per_s))
            refuse(findings, fmt::format("{}.{}", table, key),
                   fmt::format("[{}] {} is {:g} s; expected at least {:.4g} s ({})", table, key,
                               limit_ms / ms_per_s, needed_s, what));
    };
    // The contact that an advice moves within one scan is confirmed two scans later at the latest.
    const double scans_s = 2 * scan_s;
    double closing_s = 0, opening_s = 0;
    for (const Contactor& contactor : {station.drive_side, station.line_side, station.drive_output}) {
        closing_s = std::max(closing_s, contactor.closing_s + contactor.spread_s);
        opening_s = std::max(opening_s, contactor.opening_s + contactor.spread_s);
    }
    longer("control.step", "close", settings.step.close_ms, closing_s + scans_s,
           "closing time of a contactor and two scans");
    longer("control.step", "open", settings.step.open_ms, opening_s + scans_s,
           "opening time of a contactor and two scans");
    longer("control.step", "overlap", settings.step.overlap_ms, opening_s + scans_s,
           "opening time of a contactor and two scans");
    longer("control.step", "synchronise", settings.step.synchronise_ms,
           settings.step.synchronise_expected_ms / ms_per_s, "the time in synchronise_expected");
    longer("control.signal", "stale", settings.signal.stale_ms, scans_s, "two scans");
    longer("control.sync", "age_max", settings.sync.age_max_ms, scan_s, "one scan");
    const std::int32_t drive_wait_ms = settings.restart.drive_wait_ms;
    if (drive_wait_ms > 0 && drive_wait_ms < station.drive.restart_lock_s * ms_per_s)
        refuse(findings, "control.restart.drive_wait",
               fmt::format("[control.restart] drive_wait is {:g} s, but the drive's restart_lock is {:g} s; "
                           "expected at least {:g} s, or \"0 s\" to wait for no drive",
                           drive_wait_ms / ms_per_s, station.drive.restart_lock_s,
                           station.drive.restart_lock_s));

    const core::Settings::Drive& drive = settings.drive;
    if (drive.speed_max_hz > station.drive.frequency_max_hz)
        refuse(findings, "control.speed.max",
               fmt::format("[control.speed] max is {:g} Hz, but the drive reaches only {:g} Hz; expected no "
                           "more than the drive reaches",
                           drive.speed_max_hz, station.drive.frequency_max_hz));
    if (!(drive.speed_min_hz < drive.speed_max_hz))
        refuse(findings, "control.speed.min",
               fmt::format("[control.speed] min is {:g} Hz; expected less than max, {:g} Hz",
                           drive.speed_min_hz, drive.speed_max_hz));
}

}  // namespace freshet::config
