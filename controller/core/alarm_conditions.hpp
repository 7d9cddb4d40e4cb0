// Which alarm conditions hold in a scan, and which values the message of each alarm shows.
// One reason to change: when an alarm's condition holds, or the values that its message needs.
#pragma once

#include "controller/core/alarms.hpp"
#include "controller/core/delivery.hpp"
#include "controller/core/inputs.hpp"
#include "controller/core/need.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/service.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"
#include "controller/core/staging.hpp"
#include "controller/core/station_permit.hpp"

namespace freshet::core {

/// Everything that the conditions are judged from.
struct AlarmView {
    const Inputs& inputs;
    const Sight& sight;
    const StationPermit& permit;
    const SequencerState& sequencer;
    const DriveWatch& drive;
    const NeedMarks& marks;
    const Settings& settings;
    bool adopted;
    Service service;
    const StagingState& staging;
    const DeliveryWatch& delivery;
    std::uint32_t active;  ///< alarms of the station that are active already, for their deadbands
};

/// Conditions of the station, including latched conditions; a bit per StationAlarm.
std::uint32_t station_conditions(const AlarmView& view) noexcept;

/// Conditions of one pump, including latched conditions; a bit per PumpAlarm.
/// `pump` counts from zero.
std::uint16_t pump_conditions(const AlarmView& view, std::size_t pump) noexcept;

/// The values for the message of every alarm, in the order and units that its Reason lists; NaN: not known.
AlarmGrounds alarm_grounds(const AlarmView& view) noexcept;

}  // namespace freshet::core
