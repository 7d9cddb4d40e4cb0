// What a rule of the duty sees, and what the rule asks of the water.
// One reason to change: a value that a rule of the duty needs.
#pragma once

#include <array>

#include "controller/core/balance.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/need.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"

namespace freshet::core {

/// Everything that a rule of the duty judges.
struct DutyView {
    const Sight& sight;
    const SequencerState& sequencer;
    const Balance& balance;
    const FlowTable& flows;
    const Settings& settings;
    Service service;
    /// Pumps on the line, without the drive pump.
    std::size_t line_pumps() const noexcept { return other_line_pumps(sight.picture, sequencer.drive_pump); }
    /// True when the inflow is known and a pump may run on the drive by the measured value.
    bool sees_water() const noexcept {
        return balance.estimate.known() && service <= Service::one_transmitter;
    }
    /// Flow of a combination at the setpoint, m3/s.
    double flow_m3s(std::size_t line_pumps_running, double drive_hz) const noexcept {
        return balance.flow_ratio * flows.total_m3s(line_pumps_running, drive_hz, settings.marks.setpoint_m);
    }
};

/// What a rule asks of the water, and why.
struct DutyAim {
    bool applies = false;
    double speed_hz = 0;  ///< of the drive pump; zero: the speed follows the inflow
    Reason why = Reason::none;
    std::array<double, 4> values{};
};

}  // namespace freshet::core
