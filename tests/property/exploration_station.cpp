// The small station of the exploration; see the header.
#include "tests/property/exploration_station.hpp"

namespace freshet::exploration {

namespace {

constexpr std::array<const char*, static_cast<std::size_t>(Kind::count)> kind_names{
    "nothing",         "late",           "pretends",   "lies",           "silent",       "drive trips",
    "drive not ready", "drive disobeys", "speed lags", "not in sync",    "claims alone", "checks alone",
    "line dips",       "supply lost",    "link lost",  "emergency stop", "pump trips",   "selector off",
    "current missing", "reset"};

bool ordered(const Advice& before, std::size_t contactor) {
    if (contactor == 0) return before.output_close;
    const core::PumpAdvice& pump = before.pumps[(contactor - 1) / 2];
    return (contactor - 1) % 2 == 0 ? pump.drive_side_close : pump.line_side_close;
}

bool is_closed(const Station& station, std::size_t contactor) {
    if (contactor == 0) return station.output;
    const std::size_t pump = (contactor - 1) / 2;
    return (contactor - 1) % 2 == 0 ? station.drive_side[pump] : station.line_side[pump];
}

Level level_wanted(const Advice& before) {
    constexpr double near_line_hz = 55;
    if (before.speed_hz > near_line_hz) return Level::line;
    return before.speed_hz > 0 ? Level::minimum : Level::slow;
}

}  // namespace

bool occurs(const Deviations& deviations, Kind kind, std::size_t where) {
    for (const Deviation& deviation : deviations)
        if (deviation.kind == kind && deviation.where == where) return true;
    return false;
}

void list_deviations(const Key& key, const Station& was, const Advice& before, std::uint8_t pumps,
                     bool stopped, std::vector<Deviation>& list) {
    list.clear();
    const auto is_like_the_one_before = [&](std::size_t pump) {
        return pump > 0 && key.pump[pump] == key.pump[pump - 1];
    };
    const std::size_t contactors = 1 + 2 * static_cast<std::size_t>(pumps);
    for (std::size_t c = 0; c < contactors; ++c) {
        if (c > 0 && is_like_the_one_before((c - 1) / 2)) continue;
        const auto where = static_cast<std::uint8_t>(c);
        if (ordered(before, c) != is_closed(was, c)) {
            list.push_back({Kind::late, where});
            list.push_back({Kind::pretends, where});
        }
        list.push_back({Kind::lies, where});
        list.push_back({Kind::silent, where});
    }
    for (const Kind kind : {Kind::drive_trips, Kind::drive_not_ready, Kind::line_dips, Kind::supply_lost,
                            Kind::link_lost, Kind::emergency_stop})
        list.push_back({kind, 0});
    if (stopped) list.push_back({Kind::reset, 0});
    if (before.drive_run || was.running) list.push_back({Kind::drive_disobeys, 0});
    if (before.drive_run && level_wanted(before) != was.level) list.push_back({Kind::speed_lags, 0});
    if (before.synchronise)
        for (const Kind kind : {Kind::not_in_sync, Kind::claims_alone, Kind::checks_alone})
            list.push_back({kind, 0});
    for (std::uint8_t p = 0; p < pumps; ++p) {
        if (is_like_the_one_before(p)) continue;
        list.push_back({Kind::pump_trips, p});
        list.push_back({Kind::selector_off, p});
        if (was.line_side[p] || before.pumps[p].line_side_close) list.push_back({Kind::current_missing, p});
    }
}

Station moved(const Station& was, const Advice& before, const Deviations& deviations, std::uint8_t pumps,
              bool& in_sync) {
    Station next = was;
    const auto moves = [&](std::size_t contactor) {
        return !occurs(deviations, Kind::late, contactor) && !occurs(deviations, Kind::pretends, contactor);
    };
    if (moves(0)) next.output = before.output_close;
    for (std::size_t p = 0; p < pumps; ++p) {
        if (moves(1 + 2 * p)) next.drive_side[p] = before.pumps[p].drive_side_close;
        if (moves(2 + 2 * p)) next.line_side[p] = before.pumps[p].line_side_close;
    }
    const bool drops_out = before.drive_run && next.running;
    const bool disobeys = occurs(deviations, Kind::drive_disobeys);
    next.running = disobeys ? next.running && !drops_out : before.drive_run;
    if (occurs(deviations, Kind::drive_trips)) next.running = false;
    if (!next.running) {
        next.level = Level::slow;
    } else if (!occurs(deviations, Kind::speed_lags)) {
        next.level = level_wanted(before);
    }
    in_sync = next.running && before.synchronise && next.level == Level::line && was.level == Level::line;
    return next;
}

void show(const Station& station, const Deviations& deviations, bool in_sync, std::uint8_t pumps,
          Inputs& in) {
    using core::Quality;
    const Quality link = occurs(deviations, Kind::link_lost) ? Quality::bad : Quality::good;
    const auto digital = [&](core::Digital& signal, bool on) { signal = {0, on, link, core::Cause::none}; };
    const auto analog = [&](core::Analog& signal, double value) {
        signal = {value, 0, link, core::Cause::none};
    };
    const auto contact = [&](core::Digital& signal, std::size_t c) {
        const bool closed = is_closed(station, c);
        const bool lies = occurs(deviations, Kind::lies, c) || occurs(deviations, Kind::pretends, c);
        digital(signal, closed != lies);
        if (occurs(deviations, Kind::silent, c)) signal.quality = Quality::bad;
    };
    in.time_ms = base_ms + tick_ms;
    digital(in.emergency_stop, occurs(deviations, Kind::emergency_stop));
    in.people.reset_emergency_stop = occurs(deviations, Kind::reset);
    const bool trips = occurs(deviations, Kind::drive_trips);
    digital(in.drive.ready, !occurs(deviations, Kind::drive_not_ready));
    digital(in.drive.running, station.running);
    digital(in.drive.tripped, trips);
    const bool claims =
        occurs(deviations, Kind::claims_alone) ||
        (in_sync && !occurs(deviations, Kind::not_in_sync) && !occurs(deviations, Kind::checks_alone));
    const bool agrees =
        occurs(deviations, Kind::checks_alone) ||
        (in_sync && !occurs(deviations, Kind::not_in_sync) && !occurs(deviations, Kind::claims_alone));
    digital(in.drive.in_sync, claims);
    contact(in.drive.output_closed, 0);
    const double hz =
        station.level == Level::line ? line_hz : (station.level == Level::minimum ? minimum_hz : 0);
    constexpr double line_v = 2300;
    constexpr double dip_ratio = 0.7;
    constexpr double off_deg = 90;
    const bool poor = occurs(deviations, Kind::line_dips) || occurs(deviations, Kind::supply_lost);
    analog(in.drive.frequency_hz, agrees ? line_hz : hz);
    analog(in.drive.voltage_v, line_v);
    analog(in.drive.angle_deg, agrees ? 1 : off_deg);
    analog(in.line.voltage_v, poor ? dip_ratio * line_v : line_v);
    analog(in.line.frequency_hz, line_hz);
    digital(in.line.on_generator, false);
    digital(in.high_float, false);
    digital(in.low_float, true);
    for (std::size_t p = 0; p < pumps; ++p) {
        core::PumpInputs& pump = in.pumps[p];
        contact(pump.drive_side_closed, 1 + 2 * p);
        contact(pump.line_side_closed, 2 + 2 * p);
        digital(pump.tripped, occurs(deviations, Kind::pump_trips, p));
        digital(pump.seal_leak, false);
        const bool fed = station.line_side[p] || (station.drive_side[p] && station.output && station.running);
        constexpr double loaded_a = 90;
        analog(pump.current_a, fed && !occurs(deviations, Kind::current_missing, p) ? loaded_a : 0);
        analog(pump.winding_temperature_k, 320);
        pump.selector.position =
            occurs(deviations, Kind::selector_off, p) ? core::Selector::off : core::Selector::automatic;
        pump.selector.quality = link;
        pump.selector.age_ms = 0;
    }
    analog(in.level[0].reading, 2);
}

std::string named(const Deviations& deviations) {
    std::string text;
    for (const Deviation& deviation : deviations) {
        if (deviation.kind == Kind::none) continue;
        text += std::string(" ") + kind_names[static_cast<std::size_t>(deviation.kind)];
        const std::size_t where = deviation.where;
        if (is_of_contactor(deviation.kind))
            text += where == 0 ? " (output)"
                               : std::string((where - 1) % 2 == 0 ? " (drive side " : " (line side ") +
                                     std::to_string((where - 1) / 2 + 1) + ")";
        if (is_of_pump(deviation.kind)) text += " " + std::to_string(where + 1);
    }
    return text;
}

}  // namespace freshet::exploration
