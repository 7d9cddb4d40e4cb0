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
                   fmt::format("at_20ma is {:g} m; more than at_4ma, {:g} m, was expected",
                               instruments.level[i].level_at_20ma_m, instruments.level[i].level_at_4ma_m));
    if (instruments.pressure_fitted && !(instruments.pressure_at_20ma_m > instruments.pressure_at_4ma_m))
        refuse(findings, "instruments.header_pressure.at_20ma",
               fmt::format("at_20ma is {:g} m; more than at_4ma, {:g} m, was expected",
                           instruments.pressure_at_20ma_m, instruments.pressure_at_4ma_m));
    if (instruments.floats_fitted && !(instruments.low_float_m < instruments.high_float_m))
        refuse(findings, "instruments.floats.low",
               fmt::format("the low float is at {:g} m; below the high float at {:g} m was expected",
                           instruments.low_float_m, instruments.high_float_m));
}

void check_ranges(Findings& findings, const Station& station, const core::Settings& settings) {
    const core::Settings::Marks& marks = settings.marks;
    const auto [low_m, high_m] = std::minmax({marks.low_cutoff_m, marks.high_alarm_m});
    const auto covers = [&](const std::string& path, double at_4ma_m, double at_20ma_m) {
        if (low_m < at_4ma_m || high_m > at_20ma_m)
            refuse(findings, path,
                   fmt::format("the transmitter reads from {:g} to {:g} m; a range that holds all marks, "
                               "{:g} to {:g} m, "
                               "was expected",
                               at_4ma_m, at_20ma_m, low_m, high_m));
    };
    if (settings.measured == core::Measured::header_pressure) {
        if (!(station.air_vessel.precharge_head_m < marks.stage_up_m))
            refuse(
                findings, "air_vessel.precharge_head",
                fmt::format(
                    "precharge_head is {:g} m; less than stage_up, {:g} m, was expected, or the vessel holds "
                    "no water there",
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
        refuse(
            findings, fmt::format("control.marks.{}", low),
            fmt::format("{} is {:g} m; a mark above the floor at {:g} m was expected", low, low_m, floor_m));
    if (high_m >= well.overflow_level_m)
        refuse(findings, fmt::format("control.marks.{}", high),
               fmt::format("{} is {:g} m; a mark below the overflow at {:g} m was expected", high, high_m,
                           well.overflow_level_m));
}

void check_floats(Findings& findings, const Station& station, const core::Settings& settings) {
    const bool fitted = station.instruments.floats_fitted;
    if (fitted != settings.floats.fitted)
        return refuse(findings, fitted ? "instruments.floats" : "control.floats",
                      fmt::format("{} is there and {} is not; both or neither were expected",
                                  fitted ? "[instruments.floats]" : "[control.floats]",
                                  fitted ? "[control.floats]" : "[instruments.floats]"));
    if (!fitted) return;
    if (station.duty == Duty::hold_pressure)
        return refuse(
            findings, "instruments.floats",
            "floats tell a level, and the duty \"hold_pressure\" goes by a pressure: they could neither "
            "start nor stop a pump; none were expected here");
    const core::Settings::Marks& marks = settings.marks;
    const double high_m = station.instruments.high_float_m;
    const double low_m = station.instruments.low_float_m;
    const double overflow_m = station.well.overflow_level_m;
    if (station.duty == Duty::empty_well) {
        if (!(high_m > marks.stage_up_m && high_m < overflow_m))
            refuse(
                findings, "instruments.floats.high",
                fmt::format(
                    "the high float is at {:g} m; a level above stage_up at {:g} m and below the overflow at "
                    "{:g} m was expected",
                    high_m, marks.stage_up_m, overflow_m));
        if (!(low_m < marks.stop_m))
            refuse(findings, "instruments.floats.low",
                   fmt::format("the low float is at {:g} m; a level below stop at {:g} m was expected", low_m,
                               marks.stop_m));
        return;
    }
    // Filling: the low float starts pumps, the high float stops them.
    const double floor_m = station.well.storage.front().level_m;
    if (!(low_m < marks.stage_up_m && low_m > floor_m))
        refuse(findings, "instruments.floats.low",
               fmt::format("the low float is at {:g} m; a level below stage_up at {:g} m and above the floor "
                           "at {:g} m was "
                           "expected, as it starts the pumps that fill",
                           low_m, marks.stage_up_m, floor_m));
    if (!(high_m > marks.stop_m && high_m < overflow_m))
        refuse(findings, "instruments.floats.high",
               fmt::format("the high float is at {:g} m; a level above stop at {:g} m and below the overflow "
                           "at {:g} m was "
                           "expected, as it stops the pumps that fill",
                           high_m, marks.stop_m, overflow_m));
}

/// The limit of the discharge pressure must be measured, and lie where the duty leaves room for it.
void check_discharge_pressure(Findings& findings, const Station& station, const core::Settings& settings) {
    const double limit_m = settings.permissives.discharge_pressure_max_m;
    if (!(limit_m > 0)) return;
    const Instruments& instruments = station.instruments;
    if (!instruments.pressure_fitted)
        return refuse(findings, "control.discharge_pressure",
                      "the discharge pressure is limited and not measured; [instruments.header_pressure] was "
                      "expected");
    if (!(limit_m > instruments.pressure_at_4ma_m && limit_m < instruments.pressure_at_20ma_m))
        return refuse(
            findings, "control.discharge_pressure.max",
            fmt::format(
                "max is {:g} m; a head within the range of the transmitter, {:g} to {:g} m, was expected",
                limit_m, instruments.pressure_at_4ma_m, instruments.pressure_at_20ma_m));
    if (station.duty == Duty::hold_pressure && !(limit_m > settings.marks.setpoint_m))
        refuse(findings, "control.discharge_pressure.max",
               fmt::format("max is {:g} m and the pressure is held at {:g} m; more than that was expected",
                           limit_m, settings.marks.setpoint_m));
}

}  // namespace freshet::config
