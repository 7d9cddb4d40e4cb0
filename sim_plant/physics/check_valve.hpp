// The non-return valve of a pump's branch.
//
// One reason to change: how a valve opens and closes.
//
// Model: the disc follows forward flow at once; its loss is part of the branch loss. Once the heads would
// drive the water back, the disc swings shut at a steady rate over its closing time. Until then water comes
// back through the
// share of the bore that is still open:
//   q = -opening sqrt(excess head / k).
// Stuck open, the whole bore stays open.
//
// Units: opening 0..1, s.
//
// Valid: closing time zero (shuts within the step) upwards.
//
// Source: common practice.
//
// Leaves out: slam (the shock of a disc stopping moving water), spring and weight of the disc, leakage when
// shut.
#pragma once

#include <algorithm>

namespace freshet::plant {

/// Opening left for reverse flow at the end of a step of `dt_s` that begins at `opening` and drives the disc
/// shut.
inline double opening_after_reversal(double opening, double dt_s, double closing_s) {
    return closing_s > 0 ? std::max(0.0, opening - dt_s / closing_s) : 0.0;
}

}  // namespace freshet::plant
