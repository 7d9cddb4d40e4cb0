// Starts in succession: how many starts a motor may make one after another, from cold and from warm, before
// the motor must rest.
// One reason to change: how the heat of a motor is judged from its times.
//
// A large motor is made for two starts in succession from ambient temperature, coasting to rest between them,
// or for one start from at most its rated operating temperature (NEMA MG 1-2016, 12.54.1 and 20.12; likewise
// IEC 60034-1, both as quoted in a public research note). The maker of the motor says how long the motor must
// rest after that.
#pragma once

#include <cstdint>

#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// The succession after a start at `now_ms`. A motor that has rested for cool_ms is cold, and the start is
/// its first. A motor that has run for even_run_ms, or rested for rest_ms, is warm, and the start is its
/// first. Otherwise the start is one more in succession.
Succession succession_with_start(const Settings& settings, const PumpRecord& record,
                                 std::int64_t now_ms) noexcept;

/// The time until the next start is allowed, ms; 0 when it is allowed now or the settings give no limit.
std::int64_t succession_wait_ms(const Settings& settings, const PumpRecord& record,
                                std::int64_t now_ms) noexcept;

}  // namespace freshet::core
