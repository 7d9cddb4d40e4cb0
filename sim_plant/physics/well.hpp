// A store with a free surface: the level from the volume by a table, and the flow over the weir.
//
// One reason to change: the shape of a store, or its overflow.
//
// Equations:
//
//   level: linear in volume between the points of the stage-storage table, so that each piece is a prism. The
//     end pieces continue above the top and below the floor.
//   weir: Q = C b h^1.5, h the level above the crest
//   weir over a step, with the level at its end: A h + dt C b h^1.5 = A h_free
//     (one root for any step, so that it cannot oscillate)
//
// Units: m, m2, m3, m3/s.
//
// Valid: any table that rises strictly in both columns.
//
// Source of the weir: the rectangular suppressed sharp-crested weir, C = (2/3) Cd sqrt(2g), about 1.84 in SI
// after Francis: common practice, compared with published examples in
// tests/reference/hydraulics/weir_test.cpp.
//
// Leaves out: approach velocity, end contractions, a drowned weir, waves, the time that water takes across
// the well.
#pragma once

#include <cstddef>
#include <vector>

#include "config/station.hpp"

namespace freshet::plant {

/// Head on the weir at the end of a step, m. `free_head_m` > 0 is the head that a prism of `area_m2` would
/// have without the weir. `weir` = dt C b >= 0.
double weir_head_after_step_m(double free_head_m, double area_m2, double weir_m15);

/// A stage-storage table that remembers its last piece, so that a slowly moving level is found in a few
/// instructions.
class StageStorage {
  public:
    /// Throws std::invalid_argument unless there are two points or more and both columns rise strictly.
    explicit StageStorage(const std::vector<config::StoragePoint>& points);

    /// Level at a volume. Remembers the piece.
    double level_m(double volume_m3) {
        while (piece_ > 0 && volume_m3 < pieces_[piece_].volume_m3) --piece_;
        while (piece_ + 1 < pieces_.size() && volume_m3 > pieces_[piece_ + 1].volume_m3) ++piece_;
        const Piece& at = pieces_[piece_];
        return at.level_m + (volume_m3 - at.volume_m3) * at.per_area_m2;
    }
    /// Volume at a level.
    double volume_m3(double level_m) const;
    /// The inverse of the free surface of the remembered piece, 1/m2.
    double per_area_m2() const { return pieces_[piece_].per_area_m2; }
    double floor_level_m() const { return pieces_.front().level_m; }
    double floor_volume_m3() const { return pieces_.front().volume_m3; }

  private:
    struct Piece {
        double level_m = 0, volume_m3 = 0, per_area_m2 = 0;
    };
    std::vector<Piece> pieces_;
    std::size_t piece_ = 0;
};

}  // namespace freshet::plant
