// The marks of the lag pumps without the drive, against one another and against the marks of the duty.
// One reason to change: the order of these marks.
#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>

#include "config/engineering/checks.hpp"
#include "controller/core/need.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {
namespace {

/// A mark and what people call it.
struct NamedMark {
    double value_m;
    std::string name;
};

/// The marks between which a mark of a lag pump lies. The mark may lie at `first`, and must lie before
/// `last`.
struct LagRoom {
    NamedMark first, last;
};

/// A mark in the room: a share of the way from the first to the last, to the centimetre.
double in_room_m(const LagRoom& room, double share) {
    constexpr double per_m = 100;
    const double wanted_m = room.first.value_m + share * (room.last.value_m - room.first.value_m);
    const double rounded_m = std::round(wanted_m * per_m) / per_m;
    const bool inside = (rounded_m - room.first.value_m) * (rounded_m - room.last.value_m) < 0;
    return inside ? rounded_m : wanted_m;
}

/// The name of the pump that starts as number `pump`, counted from zero.
std::string pump_name(std::size_t pump) {
    return pump == 0 ? "the first pump" : fmt::format("lag pump {}", pump);
}

void check_mark(Findings& findings, const core::Settings& settings, std::size_t lag, std::string_view key,
                double value_m, const LagRoom& room, double share) {
    const double need_m = core::need_of(settings, value_m);
    if (need_m >= core::need_of(settings, room.first.value_m) &&
        need_m < core::need_of(settings, room.last.value_m))
        return;
    const bool direct = settings.action == core::Action::direct;
    refuse(
        findings, fmt::format("control.staging.lag[{}].{}", lag, key),
        fmt::format(
            "{} of {} is {:g} m; expected a mark at or {} {:g} m, {}, and {} {:g} m, {}, such as {:g} m", key,
            pump_name(lag + 1), value_m, direct ? "above" : "below", room.first.value_m, room.first.name,
            direct ? "below" : "above", room.last.value_m, room.last.name, in_room_m(room, share)));
}

}  // namespace

/// Of every pair of marks the first that is wrong is reported. A wrong start would make a stop look wrong,
/// too.
void check_lag_marks(Findings& findings, const core::Settings& settings) {
    const core::Settings::Staging& staging = settings.staging;
    const bool direct = settings.action == core::Action::direct;
    for (std::size_t lag = 0; lag < staging.lag_count && findings.empty(); ++lag) {
        const core::LagMarks ahead = core::fixed_speed_marks(settings, lag);
        const core::LagMarks& own = staging.lag.at(lag);
        const auto later = static_cast<double>(staging.lag_count - lag);
        check_mark(findings, settings, lag, "start", own.start_m,
                   {{ahead.start_m, "the start of " + pump_name(lag)},
                    {settings.marks.high_alarm_m, direct ? "the high alarm" : "the low alarm"}},
                   1 / (later + 1));
        if (!findings.empty()) return;
        constexpr double half = 0.5;
        check_mark(
            findings, settings, lag, "stop", own.stop_m,
            {{ahead.stop_m, "the stop of " + pump_name(lag)}, {own.start_m, "the start of the same pump"}},
            half);
    }
}

}  // namespace freshet::config
