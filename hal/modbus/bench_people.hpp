// What people do at the controller's panel on a bench, as orders of a scan.
// One reason to change: an order that a scenario can give.
#pragma once

#include <cstdint>
#include <optional>

#include "config/scenario.hpp"
#include "controller/core/inputs.hpp"

namespace freshet::modbus {

/// Turns the counts of a bench into orders. The bench in one process and a controller in lockstep both use
/// this class, so that both give the same journal.
class BenchPeople {
  public:
    /// The inputs of a scan, with an order for each count that grew since the call before. The first call
    /// gives no order, because a controller that joins later does not obey earlier orders. The result is
    /// valid until the next call.
    const core::Inputs& attend(const core::Inputs& inputs, const config::PeopleCounts& counts) {
        const config::PeopleCounts before = before_.value_or(counts);
        before_ = counts;
        if (before == counts) return inputs;
        attended_ = inputs;
        attended_.people.reset_emergency_stop |= grew(before.resets, counts.resets);
        attended_.people.acknowledge_all |= grew(before.acknowledgements, counts.acknowledgements);
        return attended_;
    }

  private:
    /// True when a count has grown, also past its greatest value. A smaller count is the count of a station that
    /// began again.
    static bool grew(std::uint16_t before, std::uint16_t now) {
        constexpr std::uint16_t half = 0x8000;
        const auto growth = static_cast<std::uint16_t>(now - before);
        return growth != 0 && growth < half;
    }

    std::optional<config::PeopleCounts> before_;
    core::Inputs attended_;
};

}  // namespace freshet::modbus
