// Transmitters and floats against themselves, the store and the marks.
// One reason to change: a contradiction between an instrument and its use.
#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>

#include "config/engineering/checks.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {

void check_instruments(Findings& findings, const Instruments& instruments) {
    check_count(findings, "instruments.level", "level", instruments.level.size(), 0, core::transmitters_max);
    for (std::size_t i = 0; i < instruments.level.size(); ++i)
        if (!(instruments.level[i].level_at_20ma_m > instruments.level[i].level_at_4ma_m))
            refuse(findings, fmt::format("instruments.level[{}].at_20ma", i),
                   fmt::format("at_20ma is {:g} m; expected more than at_4ma, {:g} m",
                               instruments.level[i].level_at_20ma_m, instruments.level[i].level_at_4ma_m));
    if (instruments.pressure_fitted && !(instruments.pressure_at_20ma_m > instruments.pressure_at_4ma_m))
        refuse(findings, "instruments.header_pressure.at_20ma",
               fmt::format("at_20ma is {:g} m; expected more than at_4ma, {:g} m",
                           instruments.pressure_at_20ma_m, instruments.pressure_at_4ma_m));
    if (instruments.floats_fitted && !(instruments.low_float_m < instruments.high_float_m))
        refuse(findings, "instruments.floats.low",
               fmt::format("the low float is at {:g} m; expected a level below the high float at {:g} m",
                           instruments.low_float_m, instruments.high_float_m));
}

void check_ranges(Findings& findings, const Station& station, const core::Settings& settings) {
    const core::Settings::Marks& marks = settings.marks;
    const double low_m = std::min(marks.low_cutoff_m, marks.high_alarm_m);
    const double high_m = std::max(marks.low_cutoff_m, marks.high_alarm_m);
    const auto covers = [&](const std::string& path, double at_4ma_m, double at_20ma_m) {
        if (low_m < at_4ma_m || high_m > at_20ma_m)
            refuse(findings, path,
                   fmt::format("the transmitter reads from {:g} to {:g} m; expected a range that covers "
                               "every mark, from {:g} to {:g} m",
                               at_4ma_m, at_20ma_m, low_m, high_m));
    };
    if (settings.measured == core::Measured::header_pressure) {
        if (!(station.air_vessel.precharge_head_m < marks.stage_up_m))
            refuse(findings, "air_vessel.precharge_head",
                   fmt::format("precharge_head is {:g} m; expected less than stage_up, {:g} m, because the "
                               "vessel holds no water below its pre-charge",
                               station.air_vessel.precharge_head_m, marks.stage_up_m));
        return covers("instruments.header_pressure", station.instruments.pressure_at_4ma_m,
                      station.instruments.pressure_at_20ma_m);
    }
    for (std::size_t i = 0; i < station.instruments.level.size(); ++i)
        covers(fmt::format("instruments.level[{}]", i), station.instruments.level[i].level_at_4ma_m,
               station.instruments.level[i].level_at_20ma_m);

    const Well& well = station.well;
    const double floor_m = well.storage.front().level_m;
    const bool direct = settings.action == core::Action::direct;
    const std::string_view low = direct ? "low_cutoff" : "low_alarm";
    const std::string_view high = direct ? "high_alarm" : "high_cutoff";
    if (low_m < floor_m)
        refuse(findings, fmt::format("control.marks.{}", low),
               fmt::format("{} is {:g} m; expected a mark at or above the floor at {:g} m", low, low_m,
                           floor_m));
    if (high_m >= well.overflow_level_m)
        refuse(findings, fmt::format("control.marks.{}", high),
               fmt::format("{} is {:g} m; expected a mark below the overflow at {:g} m", high, high_m,
                           well.overflow_level_m));
}

void check_floats(Findings& findings, const Station& station, const core::Settings& settings) {
    const bool fitted = station.instruments.floats_fitted;
    if (fitted != settings.floats.fitted)
        return refuse(findings, fitted ? "instruments.floats" : "control.floats",
                      fmt::format("{} is in the file, but {} is missing; expected both or neither",
                                  fitted ? "[instruments.floats]" : "[control.floats]",
                                  fitted ? "[control.floats]" : "[instruments.floats]"));
    if (!fitted) return;
    if (station.duty == Duty::hold_pressure)
        return refuse(findings, "instruments.floats",
                      "floats measure a level, but the duty \"hold_pressure\" holds a pressure; expected no "
                      "floats, because they could neither start nor stop a pump");
    const core::Settings::Marks& marks = settings.marks;
    const double high_m = station.instruments.high_float_m;
    const double low_m = station.instruments.low_float_m;
    const double overflow_m = station.well.overflow_level_m;
    if (station.duty == Duty::empty_well) {
        if (!(high_m > marks.stage_up_m && high_m < overflow_m))
            refuse(findings, "instruments.floats.high",
                   fmt::format("the high float is at {:g} m; expected a level above stage_up at {:g} m and "
                               "below the overflow at {:g} m",
                               high_m, marks.stage_up_m, overflow_m));
        if (!(low_m < marks.stop_m))
            refuse(findings, "instruments.floats.low",
                   fmt::format("the low float is at {:g} m; expected a level below stop at {:g} m", low_m,
                               marks.stop_m));
        return;
    }
    // Filling: the low float starts pumps, the high float stops them.
    const double floor_m = station.well.storage.front().level_m;
    if (!(low_m < marks.stage_up_m && low_m > floor_m))
        refuse(findings, "instruments.floats.low",
               fmt::format("the low float is at {:g} m; expected a level below stage_up at {:g} m and above "
                           "the floor at {:g} m, because this float starts the pumps that fill",
                           low_m, marks.stage_up_m, floor_m));
    if (!(high_m > marks.stop_m && high_m < overflow_m))
        refuse(findings, "instruments.floats.high",
               fmt::format("the high float is at {:g} m; expected a level above stop at {:g} m and below the "
                           "overflow at {:g} m, because this float stops the pumps that fill",
                           high_m, marks.stop_m, overflow_m));
}

/// A transmitter must measure the discharge pressure that has a limit, and the limit must leave room for the
/// duty.
void check_discharge_pressure(Findings& findings, const Station& station, const core::Settings& settings) {
    const double limit_m = settings.permissives.discharge_pressure_max_m;
    if (!(limit_m > 0)) return;
    const Instruments& instruments = station.instruments;
    if (!instruments.pressure_fitted)
        return refuse(findings, "control.discharge_pressure",
                      "the discharge pressure has a limit, but no transmitter measures it; expected an "
                      "[instruments.header_pressure] table");
    if (!(limit_m > instruments.pressure_at_4ma_m && limit_m < instruments.pressure_at_20ma_m))
        return refuse(findings, "control.discharge_pressure.max",
                      fmt::format("[control.discharge_pressure] max is {:g} m; expected a head within the "
                                  "range of the transmitter, from {:g} to {:g} m",
                                  limit_m, instruments.pressure_at_4ma_m, instruments.pressure_at_20ma_m));
    if (station.duty == Duty::hold_pressure && !(limit_m > settings.marks.setpoint_m))
        refuse(findings, "control.discharge_pressure.max",
               fmt::format("[control.discharge_pressure] max is {:g} m, but the setpoint is {:g} m; expected "
                           "a limit above the setpoint",
                           limit_m, settings.marks.setpoint_m));
}

}  // namespace freshet::config
