// How the speed of the drive pump follows the need. One reason to change: which speed the drive pump takes.
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

/// The combination that a tuning is for.
struct TuningKey {
    double area_m2 = 0;      ///< of the store
    std::size_t beside = 0;  ///< pumps on the line beside the drive pump
    bool operator==(const TuningKey&) const = default;
};

struct Following {
    Demand demand;
    std::uint8_t pump = no_pump;  ///< whose speed the demand follows
    Service service = Service::hold;
    Memo<TuningKey, Tuning> tuning;
};

/// One scan. While no pump runs steadily on the drive the demand stays as it is. A pump that comes onto the
/// drive is followed from the speed that the drive has, so that neither a start nor a take-back is felt. With
/// the floats alone the speed rises to the highest while a float calls, and else stays. At the limit of the
/// discharge pressure the speed may fall and not rise. `lowest_hz` is the minimum-flow speed.
void follow(Following& following, const Sight& sight, const SequencerState& sequencer, Service service,
            double lowest_hz, double elapsed_s, const FlowTable& flows, const Settings& settings) noexcept;

}  // namespace freshet::core
