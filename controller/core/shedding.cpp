// Stopping a pump; see the header.
#include "controller/core/shedding.hpp"

#include <algorithm>

#include "controller/core/delivery.hpp"
#include "controller/core/next_on_drive.hpp"
#include "controller/core/rotation.hpp"

namespace freshet::core {

namespace {

/// The values of Reason::no_delivery; zero where no watch is given.
std::array<double, 4> delivery_values(const DeliveryWatch* watch, std::uint8_t pump) noexcept {
    if (watch == nullptr) return {};
    const PumpDelivery& of = watch->pumps[pump];
    return {of.flow_m3s, of.expected_m3s, of.current_a, of.expected_a};
}

/// The time to a mark that the store never reaches, s.
constexpr double never_s = 1e12;

/// True while a pump runs on the drive, or will run there when its start has ended.
bool has_drive_pump(const SequencerState& state) noexcept {
    return state.drive_pump != no_pump || state.main.sequence == Sequence::start_on_drive ||
           state.main.sequence == Sequence::hand_over;
}

}  // namespace

Decision shed_for_pressure(StagingState& staging, const Situation& at) noexcept {
    const std::int64_t high_ms = at.held_ms(staging.since, &StagingTimers::pressure_ms, true);
    const bool on_drive = at.state.drive_pump != no_pump;
    if (at.line_pumps() + (on_drive ? 1 : 0) < 2) return {};
    std::int64_t wait_ms = 0;
    const std::uint8_t pump = on_drive
                                  ? at.state.drive_pump
                                  : next_to_stop(at.may_stop(), at.state, at.settings, at.picture.time_ms);
    if (pump == no_pump || why_not_stop(at.state, at.calm_permit(), at.settings, pump, at.picture.time_ms,
                                        wait_ms) != Permissive::none)
        return {};
    const std::int64_t left_ms = at.settings.staging.down_delay_ms - high_ms;
    return {on_drive ? Intention::stop_on_drive : Intention::stop_from_line,
            pump,
            Reason::pressure_high,
            {at.inputs.pressure_m, at.settings.permissives.discharge_pressure_max_m, 0, 0},
            left_ms <= 0,
            left_ms > 0 ? left_ms : 0};
}

Decision shed_for_supply(const Situation& at) noexcept {
    const int running = at.line_pumps() + (at.state.drive_pump != no_pump ? 1 : 0);
    if (running <= pumps_most(at.settings, at.picture)) return {};
    const PumpMask advised_on_line = pumps_in(at.state, PumpState::on_line, at.settings);
    const std::uint8_t pump = next_to_stop(advised_on_line, at.state, at.settings, at.picture.time_ms);
    if (pump != no_pump) return {Intention::stop_from_line, pump, Reason::pumps_max_reached, {}, true, 0};
    if (at.state.drive_pump == no_pump) return {};
    return {Intention::stop_on_drive, at.state.drive_pump, Reason::pumps_max_reached, {}, true, 0};
}

Decision stop_before_empty(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    const WaterView& water = in.water;
    const bool on_drive = has_drive_pump(at.state);
    const int line_pumps = at.line_pumps();
    const bool applies = at.settings.staging.forecast && water.inflow_known && line_pumps > 0 &&
                         line_pumps + (on_drive ? 1 : 0) > 1 && in.need_m <= in.marks.hold_m;
    if (!applies) return {};
    const auto fewer = static_cast<std::size_t>(line_pumps - 1);
    if (water.at_most_m3s() >= at.flow_m3s(fewer, in.highest_hz, in.need_m)) return {};
    const double drive_hz = on_drive ? in.lowest_hz : 0;
    const double least_m3s = at.flow_m3s(at.picture.on_line, drive_hz, in.need_m);
    const double coasting_m3 = std::max(
        water.flow_ratio * at.flows.coasting_m3(fewer, drive_hz, in.value_m, water.pumped_m3s, at.settings),
        0.0);
    const double store_m3 = water.volume_m3 - at.volume_at(in.marks.stop_m) - coasting_m3;
    const double surplus_m3s = least_m3s - water.inflow_m3s;
    const double reach_s = surplus_m3s > 0 ? std::max(store_m3, 0.0) / surplus_m3s : never_s;
    constexpr double seconds_per_ms = 1e-3;
    const double needed_s =
        at.settings.staging.forecast_margin * seconds_per_ms * as_double(take_back_ms(at.settings, drive_hz));
    const std::int64_t short_ms = at.held_ms(staging.since, &StagingTimers::emptying_ms, reach_s < needed_s);
    if (short_ms < 0) return {};
    const std::uint8_t pump = next_to_stop(at.may_stop(), at.state, at.settings, at.picture.time_ms);
    if (pump == no_pump) return {};
    const Decision stop{Intention::stop_from_line,    pump,
                        Reason::forecast_empty,       {water.inflow_m3s, least_m3s, reach_s, needed_s},
                        short_ms >= forecast_hold_ms, forecast_hold_ms - short_ms};
    return stop;
}

namespace {

/// True when a pump other than `pump` runs, and nobody doubts that the other pump delivers.
bool another_delivers(const Situation& at, std::uint8_t pump, PumpMask failing) noexcept {
    PumpMask running = fed_by_line(at.picture);
    if (at.state.drive_pump != no_pump)
        running = static_cast<PumpMask>(running | bit_of(at.state.drive_pump));
    return (running & ~(failing | bit_of(pump))) != 0;
}

}  // namespace

Decision shed_without_delivery(StagingState& staging, const Situation& at) noexcept {
    const PumpMask failing = without_delivery(at.state);
    if (failing == 0 || at.inputs.service == Service::hold) return {};
    const WaterView& water = at.inputs.water;
    const bool rises = !water.inflow_known || water.at_most_m3s() > water.pumped_m3s;
    const std::uint8_t on_drive = at.state.drive_pump;
    for (std::uint8_t pump = 0; pump < at.settings.pump_count; ++pump) {
        const bool on_line =
            at.state.pumps[pump].state == PumpState::on_line && at.state.line_run[pump].step == Step::idle;
        if (!has(failing, pump) || !(on_line || pump == on_drive)) continue;
        std::int64_t wait_ms = 0;
        if (why_not_stop(at.state, at.inputs.permit, at.settings, pump, at.picture.time_ms, wait_ms) !=
            Permissive::none)
            continue;
        const bool by_line = at.inputs.service == Service::fixed_speed;
        const bool replaced = (at.may_start(by_line) & ~doubtful_delivery(at.state)) != 0;
        // A pump that delivers nothing helps nobody next to a pump that delivers, unless the witnesses are wrong.
        const bool helps_perhaps = at.inputs.permit.water_in_danger || !another_delivers(at, pump, failing);
        if (!replaced && rises && helps_perhaps) continue;
        const Decision stop{on_line ? Intention::stop_from_line : Intention::stop_on_drive,
                            pump,
                            Reason::no_delivery,
                            delivery_values(at.inputs.delivery, pump),
                            true,
                            0};
        if (replaced && !on_line) want_start(staging, stop);
        return stop;
    }
    return {};
}

}  // namespace freshet::core
