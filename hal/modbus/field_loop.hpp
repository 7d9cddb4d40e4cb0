// The field link of the bench in one process: encode, poll what is due, decode; or fail as a bad link does.
// One reason to change: what a scan on the bench gets to see of the station.
#pragma once

#include <cstdint>
#include <vector>

#include "config/signals.hpp"
#include "controller/core/inputs.hpp"
#include "hal/modbus/field_decoder.hpp"
#include "hal/modbus/field_encoder.hpp"
#include "hal/modbus/field_plan.hpp"
#include "hal/modbus/late_images.hpp"
#include "hal/modbus/poll_schedule.hpp"

namespace freshet::modbus {

/// How the link stands at an instant.
struct LinkCondition {
    core::Cause cause = core::Cause::none;  ///< other than none: no reading comes through, for this cause
    std::int64_t slow_ms = 0;               ///< every answer takes so long; station time
};

class FieldLoop {
  public:
    explicit FieldLoop(const FieldPlan& plan);
    /// One scan's worth. A link that does not answer is found out by the first reading that is due, and
    /// everything read over it is bad from then on, until it is read again.
    /// `only_clock`: nothing but the station's clock went on since the last call; in one process the caller's
    /// `now_ms` is that clock.
    const core::Inputs& pass(const config::Readings& readings, std::int64_t now_ms, LinkCondition link = {},
                             bool only_clock = false);

  private:
    const core::Inputs& pass_badly(std::int64_t now_ms, LinkCondition link);

    std::vector<Block> blocks_;
    PollSchedule schedule_;
    FieldEncoder encoder_;
    FieldDecoder decoder_;
    LateImages late_;
    bool bad_ = false;                   ///< the link was, at the last scan
    std::vector<std::uint8_t> compare_;  ///< by block: changes went by while it was not read
};

}  // namespace freshet::modbus
