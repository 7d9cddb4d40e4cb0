// Grounds for refusing; see the header.
#include "controller/core/permissives.hpp"

#include <bit>
#include <limits>

#include "controller/core/precedence.hpp"
#include "controller/core/restart.hpp"
#include "controller/core/succession.hpp"
#include "controller/core/transfer_impossible.hpp"

namespace freshet::core {

namespace {

/// Time left of a wait that began at `since_ms`; zero when the wait is over.
std::int64_t left_ms(std::int64_t since_ms, std::int64_t wait_ms, std::int64_t now_ms) noexcept {
    if (since_ms == never_ms) return 0;
    const std::int64_t left = since_ms + wait_ms - now_ms;
    return left > 0 ? left : 0;
}

/// True while time is left. Writes the time left into `wait_ms`.
bool waits(std::int64_t left, std::int64_t& wait_ms) noexcept {
    if (left <= 0) return false;
    wait_ms = left;
    return true;
}

/// The first ground of a mask, in the order of the codes.
Permissive first_of(GroundMask grounds) noexcept {
    return grounds == 0 ? Permissive::none : static_cast<Permissive>(std::countr_zero(grounds));
}

int running_pumps(const SequencerState& state, const Picture& picture) noexcept {
    return picture.on_line + (state.drive_pump != no_pump ? 1 : 0);
}

}  // namespace

Permissive why_unavailable(const Picture& picture, std::size_t pump) noexcept {
    if (!has(picture.automatic, pump)) return Permissive::not_automatic;
    if (has(static_cast<PumpMask>(picture.tripped | picture.trip_unknown), pump)) return Permissive::tripped;
    if (has(picture.hot, pump)) return Permissive::winding_hot;
    if (!has(static_cast<PumpMask>(picture.drive_side_open & picture.line_side_open), pump))
        return Permissive::contact_contradiction;
    return Permissive::none;
}

std::uint8_t pumps_most(const Settings& settings, const Picture& picture) noexcept {
    return picture.on_generator ? settings.permissives.pumps_max_on_generator
                                : settings.permissives.pumps_max_on_line;
}

double line_start_dip_ratio(const Settings& settings) noexcept {
    constexpr double root_three = 1.7320508075688772;
    const double start_va = root_three * settings.drive.line_voltage_v * settings.rated_current_a *
                            settings.line_start.locked_rotor_current_ratio;
    const double short_circuit_va = settings.line_start.short_circuit_va;
    if (!(short_circuit_va > 0)) return 1;
    return start_va / (short_circuit_va + start_va);
}

GroundMask wear_limits_of_start(const SequencerState& state, const Picture& picture,
                                const StationPermit& permit, const Settings& settings, std::size_t pump,
                                std::int64_t& wait_ms) noexcept {
    const PumpRecord& record = state.pumps[pump];
    const Settings::Permissives& rules = settings.permissives;
    GroundMask against = 0;
    if (has(picture.seal_leak, pump)) against |= bit_of(Permissive::seal_leak);
    if (!rest_ends_early(record, permit) &&
        waits(left_ms(record.released_ms, rules.rest_min_ms, picture.time_ms), wait_ms))
        against |= bit_of(Permissive::resting);
    if (!record.starts.allows(rules.starts_per_hour_max, picture.time_ms))
        against |= bit_of(Permissive::starts_limit);
    return against;
}

bool station_allows_line_starts(const Settings& settings) noexcept {
    return settings.line_start.allowed &&
           line_start_dip_ratio(settings) <= settings.line_start.supply_dip_max_ratio;
}

Permissive why_not_start(const SequencerState& state, const Picture& picture, const StationPermit& permit,
                         const Settings& settings, std::size_t pump, bool by_line,
                         std::int64_t& wait_ms) noexcept {
    wait_ms = 0;
    const PumpRecord& record = state.pumps[pump];
    const std::int64_t now_ms = picture.time_ms;
    if (picture.emergency_stop) return Permissive::emergency_stop;
    if (const Permissive held = why_stopped(state.emergency_stop); held != Permissive::none) return held;
    if (permit.low_cutoff || permit.low_float) return Permissive::low_cutoff;
    if (permit.supply_poor) return Permissive::supply;
    if (!permit.settled) return Permissive::settling;
    if (!permit.data_starts) return Permissive::data_bad;
    if (permit.pressure_high) return Permissive::pressure_high;
    if (record.state == PumpState::locked_out) return Permissive::locked_out;
    if (record.state != PumpState::off) return Permissive::not_automatic;
    if (running_pumps(state, picture) >= pumps_most(settings, picture)) return Permissive::pumps_limit;
    if (waits(left_ms(record.retry_after_ms, 0, now_ms), wait_ms)) return Permissive::retry_pause;
    // A coasting motor must not be connected to any source before its own voltage has decayed.
    if (waits(left_ms(record.released_ms, settings.permissives.residual_voltage_ms, now_ms), wait_ms))
        return Permissive::residual_voltage;
    if ((by_line || settings.succession.drive_starts_count) &&
        waits(succession_wait_ms(settings, record, now_ms), wait_ms))
        return Permissive::succession;
    if (waits(left_ms(state.last_start_ms, settings.restart.spacing_ms, now_ms), wait_ms))
        return Permissive::spacing;
    if (by_line) {
        if (!station_allows_line_starts(settings)) return Permissive::supply;
        if (waits(permit.drive_wait_left_ms, wait_ms)) return Permissive::drive_awaited;
        if (waits(left_ms(state.last_line_start_ms, settings.line_start.spacing_ms, now_ms), wait_ms))
            return Permissive::spacing;
    }
    return permit.water_in_danger
               ? Permissive::none
               : first_of(wear_limits_of_start(state, picture, permit, settings, pump, wait_ms));
}

Permissive why_no_drive(const SequencerState& state, const Picture& picture) noexcept {
    if (state.drive_locked_out || picture.drive_lost() || !picture.drive_known) return Permissive::drive;
    if (picture.time_ms < state.drive_retry_after_ms) return Permissive::drive;
    return Permissive::none;
}

bool line_start_serves(const SequencerState& state, const Picture& picture,
                       const Settings& settings) noexcept {
    if (state.drive_pump != no_pump)
        return hand_over_is_impossible(state, settings, picture.time_ms) || hand_over_is_doubtful(state);
    return why_no_drive(state, picture) != Permissive::none || !drive_can_take(picture, settings);
}

Permissive why_no_transfer(const SequencerState& state, const Picture& picture, const StationPermit& permit,
                           const Settings& settings, std::int64_t& wait_ms) noexcept {
    wait_ms = 0;
    if (why_no_drive(state, picture) != Permissive::none) return Permissive::drive;
    if (permit.supply_poor || picture.line_poor) return Permissive::supply;
    if (!permit.settled) return Permissive::settling;
    if (waits(left_ms(state.transfer_retry_after_ms, 0, picture.time_ms), wait_ms))
        return Permissive::retry_pause;
    const bool counts = !(permit.water_in_danger && yields_to_water(Permissive::transfers_limit));
    if (counts && !state.transfers.allows(settings.permissives.transfers_per_hour_max, picture.time_ms))
        return Permissive::transfers_limit;
    return Permissive::none;
}

Permissive why_not_stop(const SequencerState& state, const StationPermit& permit, const Settings& settings,
                        std::size_t pump, std::int64_t now_ms, std::int64_t& wait_ms) noexcept {
    wait_ms = 0;
    if (permit.water_in_danger && yields_to_water(Permissive::minimum_run)) return Permissive::none;
    if (waits(left_ms(state.pumps[pump].started_ms, settings.permissives.run_min_ms, now_ms), wait_ms))
        return Permissive::minimum_run;
    return Permissive::none;
}

Refusal why_no_pump_starts(const SequencerState& state, const Picture& picture, const StationPermit& permit,
                           const Settings& settings, bool by_line) noexcept {
    constexpr std::int64_t unknown_ms = std::numeric_limits<std::int64_t>::max();
    Refusal least;
    std::int64_t least_ms = unknown_ms;
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump) {
        if (state.pumps[pump].state != PumpState::off) continue;
        std::int64_t wait_ms = 0;
        const Permissive why = why_not_start(state, picture, permit, settings, pump, by_line, wait_ms);
        if (why == Permissive::none) return {};
        const std::int64_t ranked_ms = wait_ms > 0 ? wait_ms : unknown_ms;
        if (least.why != Permissive::none && ranked_ms >= least_ms) continue;
        least = {why, pump, wait_ms};
        least_ms = ranked_ms;
    }
    return least;
}

}  // namespace freshet::core
