// The non-return valve of a pump's branch.
//
// One reason to change: how a valve opens and closes.
//
// Model: the disc follows forward flow at once, and its loss is part of the branch loss. When the heads would
// drive the water back, the disc swings shut at a steady rate over its closing time. Until the disc is shut,
// water flows back through the open share of the bore:
//   q = -opening sqrt(excess head / k).
// A valve that is stuck open keeps the whole bore open.
//
// Units: opening 0..1, s.
//
// Valid: closing time from zero (the valve shuts within the step).
//
// Source: common practice.
//
// Leaves out: slam (the shock when the disc stops moving water), spring and weight of the disc, leakage of a
// shut valve.
#pragma once

#include <algorithm>

namespace freshet::plant {

/// The opening to reverse flow at the end of a step of `dt_s`. The step begins at `opening` and drives the
/// disc shut.
inline double opening_after_reversal(double opening, double dt_s, double closing_s) {
    return closing_s > 0 ? std::max(0.0, opening - dt_s / closing_s) : 0.0;
}

}  // namespace freshet::plant
