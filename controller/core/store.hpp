// The store of the station: its surface, the volume in it, and the flow over its weir.
// One reason to change: how the store is described.
#pragma once

#include "controller/core/settings.hpp"

namespace freshet::core {

/// Surface of the store at a level, m2: slope of the stage-storage table, held constant beyond its ends.
double store_area_m2(const Settings& settings, double level_m) noexcept;

/// The measured value as a volume that calls for pumping, m3. The volume rises with the need: the content of
/// a well, or the missing content of a tank or a vessel. Only differences of two such volumes have a meaning.
double need_volume_m3(const Settings& settings, double value_m) noexcept;

/// Flow over the weir of the store at a level, m3/s; zero up to the crest and for a store without a weir.
/// Source: the rectangular sharp-crested weir, Q = C b h^1.5 (common practice).
double weir_m3s(const Settings& settings, double level_m) noexcept;

}  // namespace freshet::core
