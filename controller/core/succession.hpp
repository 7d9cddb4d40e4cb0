// Starts in succession: how many a motor may make one after another, from cold and from warm, before it must
// rest. One reason to change: the rule by which a motor's heat is judged from its times.
//
// Large motors are made for two starts in succession, coasting to rest between, from ambient temperature, or
// one from no more than rated operating temperature (NEMA MG 1-2016, 12.54.1 and 20.12; likewise IEC 60034-1,
// both as quoted in a public research note). What rest they need after that is the maker's figure.
#pragma once

#include <cstdint>

#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Where a motor would stand with a start at `now_ms`: at rest for long enough it counts as cold and begins
/// anew; having run itself even, or rested as prescribed, it begins anew as warm; otherwise the start is one
/// more in succession.
Succession succession_with_start(const Settings& settings, const PumpRecord& record,
                                 std::int64_t now_ms) noexcept;

/// How long until a start is admitted; 0: now, or no rule stands.
std::int64_t succession_wait_ms(const Settings& settings, const PumpRecord& record,
                                std::int64_t now_ms) noexcept;

}  // namespace freshet::core
