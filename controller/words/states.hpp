// Words for states: pumps, services, intentions, qualities and their causes, selectors, permissives.
// One reason to change: a state of advice.hpp, inputs.hpp or a permissive that comes, goes or is better
// named.
#pragma once

#include "controller/core/advice.hpp"
#include "controller/words/word.hpp"

namespace freshet::words {

inline constexpr std::array<Word<core::PumpState>, 9> pump_states{{
    {core::PumpState::off, "off", "off"},
    {core::PumpState::starting, "starting", "starting"},
    {core::PumpState::on_drive, "on_drive", "on the drive"},
    {core::PumpState::to_line, "to_line", "in transfer to the line"},
    {core::PumpState::on_line, "on_line", "on the line"},
    {core::PumpState::to_drive, "to_drive", "in transfer to the drive"},
    {core::PumpState::stopping, "stopping", "stopping"},
    {core::PumpState::locked_out, "locked_out", "locked out"},
    {core::PumpState::unavailable, "unavailable", "unavailable"},
}};
static_assert(complete(pump_states, static_cast<std::size_t>(core::PumpState::unavailable) + 1),
              "every PumpState needs its word, in order");

inline constexpr std::array<Word<core::Service>, 6> services{{
    {core::Service::normal, "normal", "normal service"},
    {core::Service::one_transmitter, "one_transmitter", "service on one transmitter"},
    {core::Service::floats, "floats", "service by floats"},
    {core::Service::fixed_speed, "fixed_speed", "fixed-speed service without the drive"},
    {core::Service::hold, "hold", "hold, no pump is started"},
    {core::Service::waiting, "waiting",
     "waiting for readings without contradictions, nothing is advised yet"},
}};
static_assert(complete(services, static_cast<std::size_t>(core::Service::waiting) + 1),
              "every Service needs its word, in order");

inline constexpr std::array<Word<core::WaterMode>, static_cast<std::size_t>(core::WaterMode::count)>
    water_modes{{
        {core::WaterMode::hold, "hold", "holds the setpoint"},
        {core::WaterMode::fill_and_draw, "fill_and_draw",
         "fills and draws: the drive pump moves the water from mark to mark at the speed of least energy"},
        {core::WaterMode::sleep, "sleep",
         "sleeps: a pump charges the vessel and stops, and the vessel supplies the demand"},
        {core::WaterMode::cheap_fill, "cheap_fill", "fills ahead: the marks rise while the energy is cheap"},
        {core::WaterMode::draw_down, "draw_down",
         "draws the well down to the stated level to clean the well"},
        {core::WaterMode::scour_wait, "scour_wait", "lets the store fill for the scour of the main"},
        {core::WaterMode::scour, "scour", "scours the main at the stated flow"},
    }};
static_assert(complete(water_modes, static_cast<std::size_t>(core::WaterMode::count)),
              "every WaterMode needs its word, in order");

inline constexpr std::array<Word<core::Intention>, 7> intentions{{
    {core::Intention::none, "none", "nothing"},
    {core::Intention::start_on_drive, "start_on_drive", "start on the drive"},
    {core::Intention::hand_over, "hand_over", "hand-over to the line"},
    {core::Intention::take_back, "take_back", "take-back to the drive"},
    {core::Intention::stop_on_drive, "stop_on_drive", "stop on the drive"},
    {core::Intention::stop_from_line, "stop_from_line", "stop from the line"},
    {core::Intention::line_start, "line_start", "start on the line"},
}};
static_assert(complete(intentions, static_cast<std::size_t>(core::Intention::line_start) + 1),
              "every Intention needs its word, in order");

inline constexpr std::array<Word<core::Quality>, 3> qualities{{
    {core::Quality::good, "good", "good"},
    {core::Quality::uncertain, "uncertain", "uncertain"},
    {core::Quality::bad, "bad", "bad"},
}};
static_assert(complete(qualities, static_cast<std::size_t>(core::Quality::bad) + 1),
              "every Quality needs its word, in order");

inline constexpr std::array<Word<core::Cause>, 13> quality_causes{{
    {core::Cause::none, "none", "nothing wrong"},
    {core::Cause::never_read, "never_read", "never read"},
    {core::Cause::not_fitted, "not_fitted", "not fitted"},
    {core::Cause::stale, "stale", "reading too old"},
    {core::Cause::link_lost, "link_lost", "link lost"},
    {core::Cause::device_exception, "device_exception", "device answered with an exception"},
    {core::Cause::undecodable, "undecodable", "value cannot be decoded"},
    {core::Cause::under_range, "under_range", "loop current under range"},
    {core::Cause::over_range, "over_range", "loop current over range"},
    {core::Cause::implausible_rate, "implausible_rate", "changes faster than water can"},
    {core::Cause::frozen, "frozen", "value does not change at all"},
    {core::Cause::disagrees, "disagrees", "transmitters disagree"},
    {core::Cause::contradicted, "contradicted", "another witness of the water contradicts the reading"},
}};
static_assert(complete(quality_causes, static_cast<std::size_t>(core::Cause::contradicted) + 1),
              "every Cause needs its word, in order");

inline constexpr std::array<Word<core::Selector>, 3> selectors{{
    {core::Selector::off, "off", "Off"},
    {core::Selector::hand, "hand", "Hand"},
    {core::Selector::automatic, "automatic", "Auto"},
}};
static_assert(complete(selectors, static_cast<std::size_t>(core::Selector::automatic) + 1),
              "every Selector needs its word, in order");

inline constexpr std::array<Word<core::Permissive>, static_cast<std::size_t>(core::Permissive::count)>
    permissives{{
        {core::Permissive::none, "none", "no condition is against the pump"},
        {core::Permissive::not_automatic, "not_automatic", "the selector is not in Auto"},
        {core::Permissive::tripped, "tripped", "the motor protection has tripped"},
        {core::Permissive::seal_leak, "seal_leak", "the seal leaks"},
        {core::Permissive::winding_hot, "winding_hot", "the winding is too hot"},
        {core::Permissive::resting, "resting", "the minimum rest is not over"},
        {core::Permissive::starts_limit, "starts_limit", "the starts per hour are used up"},
        {core::Permissive::residual_voltage, "residual_voltage",
         "the motor may still carry residual voltage"},
        {core::Permissive::locked_out, "locked_out", "the pump is locked out"},
        {core::Permissive::contact_contradiction, "contact_contradiction",
         "a contactor is not in the advised position"},
        {core::Permissive::emergency_stop, "emergency_stop", "the emergency stop is operated"},
        {core::Permissive::low_cutoff, "low_cutoff", "the measured value is below the low cut-off"},
        {core::Permissive::data_bad, "data_bad", "the measured value is too bad to start a pump"},
        {core::Permissive::supply, "supply", "the line is not healthy"},
        {core::Permissive::transfers_limit, "transfers_limit", "the transfers per hour are used up"},
        {core::Permissive::drive, "drive", "the drive is not free or not ready"},
        {core::Permissive::spacing, "spacing", "the time between two starts is not over"},
        {core::Permissive::pumps_limit, "pumps_limit", "no more pumps may run on this supply"},
        {core::Permissive::settling, "settling",
         "the settling time after the start or a return of the supply is not over"},
        {core::Permissive::minimum_run, "minimum_run", "the minimum run is not over"},
        {core::Permissive::succession, "succession",
         "the starts in succession are used up, and the motor must cool"},
        {core::Permissive::pressure_high, "pressure_high", "the discharge pressure is at its limit"},
        {core::Permissive::retry_pause, "retry_pause", "the pause after a failed attempt is not over"},
        {core::Permissive::reset_awaited, "reset_awaited",
         "the emergency stop is released, but nobody has reset it"},
        {core::Permissive::drive_awaited, "drive_awaited",
         "the drive is expected back, and no pump starts on the line before"},
    }};
static_assert(complete(permissives, static_cast<std::size_t>(core::Permissive::count)),
              "every Permissive needs its word, in order");

constexpr const Word<core::PumpState>& word(core::PumpState code) {
    return entry_of(pump_states, code);
}
constexpr const Word<core::Service>& word(core::Service code) {
    return entry_of(services, code);
}
constexpr const Word<core::Intention>& word(core::Intention code) {
    return entry_of(intentions, code);
}
constexpr const Word<core::Quality>& word(core::Quality code) {
    return entry_of(qualities, code);
}
constexpr const Word<core::Cause>& word(core::Cause code) {
    return entry_of(quality_causes, code);
}
constexpr const Word<core::Selector>& word(core::Selector code) {
    return entry_of(selectors, code);
}
constexpr const Word<core::Permissive>& word(core::Permissive code) {
    return entry_of(permissives, code);
}

}  // namespace freshet::words
