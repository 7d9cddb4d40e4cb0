// The effect of link faults on the readings, the same for the bench in one process and for the simulated
// station in lockstep. One reason to change: a kind of bad link.
#pragma once

#include <cstdint>

#include "hal/modbus/field_loop.hpp"
#include "sim_plant/physics/noise.hpp"
#include "sim_plant/station/plant.hpp"

namespace freshet::bench {

/// Whether the answers of this instant are garbled. Only the instant decides, so that every run is the same.
inline bool garbles(const plant::LinkState& link, std::int64_t now_ms) {
    if (link.garbled_share <= 0) return false;
    return plant::NoiseSource(static_cast<std::uint64_t>(now_ms)).uniform() < link.garbled_share;
}

/// A link that answers too late for any reader counts as lost. A lost link has precedence over a garbled
/// link, and a garbled link over a slow link.
inline modbus::LinkCondition condition_of(const plant::LinkState& link, std::int64_t now_ms) {
    if (link.lost || link.slow_ms >= modbus::answer_limit_ms) return {core::Cause::link_lost, 0};
    if (garbles(link, now_ms)) return {core::Cause::undecodable, 0};
    return {core::Cause::none, link.slow_ms};
}

}  // namespace freshet::bench
