// What the faults of a station's link do to the readings, as the bench in one process and the simulated
// station in lockstep act it out. One reason to change: a way in which a link can be bad.
#pragma once

#include <cstdint>

#include "hal/modbus/field_loop.hpp"
#include "sim_plant/physics/noise.hpp"
#include "sim_plant/station/plant.hpp"

namespace freshet::bench {

/// Whether the answers of this instant are garbled: the same in every run, by the instant alone.
inline bool garbles(const plant::LinkState& link, std::int64_t now_ms) {
    if (link.garbled_share <= 0) return false;
    return plant::NoiseSource(static_cast<std::uint64_t>(now_ms)).uniform() < link.garbled_share;
}

/// A link that answers too late for any reader is as good as lost; lost goes before garbled, garbled before
/// slow.
inline modbus::LinkCondition condition_of(const plant::LinkState& link, std::int64_t now_ms) {
    if (link.lost || link.slow_ms >= modbus::answer_limit_ms) return {core::Cause::link_lost, 0};
    if (garbles(link, now_ms)) return {core::Cause::undecodable, 0};
    return {core::Cause::none, link.slow_ms};
}

}  // namespace freshet::bench
