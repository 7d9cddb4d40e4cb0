// How the speed of the drive pump follows the need.
// One reason to change: which speed the drive pump gets.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/demand.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/memo.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"

namespace freshet::core {

/// The combination that a tuning belongs to.
struct TuningKey {
    double area_m2 = 0;      ///< of the store
    std::size_t beside = 0;  ///< pumps on the line, without the drive pump
    bool operator==(const TuningKey&) const = default;
};

/// The demand, and the pump and service that it follows.
struct Following {
    Demand demand;
    std::uint8_t pump = no_pump;  ///< the pump whose speed the demand sets
    Service service = Service::hold;
    Memo<TuningKey, Tuning> tuning;
};

/// Sets the demand of one scan. While no pump runs steadily on the drive, the demand does not change. When a
/// pump comes onto the drive, the demand starts at the drive's present speed, so that the speed does not
/// jump. In service `floats` the speed rises to the highest while a float calls for pumps, and otherwise
/// stays. At the limit of the discharge pressure the speed may fall but not rise. `lowest_hz` is the
/// minimum-flow speed, Hz. `elapsed_s` is the time since the last scan, s.
void follow(Following& following, const Sight& sight, const SequencerState& sequencer, Service service,
            double lowest_hz, double elapsed_s, const FlowTable& flows, const Settings& settings) noexcept;

}  // namespace freshet::core
