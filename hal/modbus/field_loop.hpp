// The field link of the bench in one process: encodes readings, polls the groups that are due, and decodes;
// or fails as a bad link does.
// One reason to change: the readings that reach a scan on the bench.
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

/// The state of the link at an instant.
struct LinkCondition {
    core::Cause cause = core::Cause::none;  ///< other than none: no reading arrives, for this cause
    std::int64_t slow_ms = 0;               ///< the time that every answer takes; station time
};

class FieldLoop {
  public:
    explicit FieldLoop(const FieldPlan& plan);
    /// The inputs of one scan. The first due reading discovers a link that does not answer. Then every signal
    /// has the link's cause until the signal is read again. `only_clock`: only the station's clock changed
    /// since the last call. In one process the caller's `now_ms` is the station's clock.
    const core::Inputs& pass(const config::Readings& readings, std::int64_t now_ms, LinkCondition link = {},
                             bool only_clock = false);

  private:
    const core::Inputs& pass_badly(std::int64_t now_ms, LinkCondition link);

    std::vector<Block> blocks_;
    PollSchedule schedule_;
    FieldEncoder encoder_;
    FieldDecoder decoder_;
    LateImages late_;
    bool bad_ = false;                   ///< the link was bad at the last scan
    std::vector<std::uint8_t> compare_;  ///< by block: entries changed while the block was not read
};

}  // namespace freshet::modbus
