// The controller's settings that follow from the equipment.
// One reason to change: a setting that is derived and not configured.
#pragma once

#include <cstdint>

#include "config/station.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {

/// Fills in what follows from the equipment. `station` must have passed its checks.
void derive_settings(core::Settings& settings, const Station& station);

/// How long a drive is waited for where the station file does not say: until its restart lock is over and the
/// drive has had 15 s to start up, ms.
std::int32_t usual_drive_wait_ms(const Drive& drive);

}  // namespace freshet::config
