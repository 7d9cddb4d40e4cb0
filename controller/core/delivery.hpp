// Whether each pump delivers what its curve says, or water runs back through a pump at rest.
// One reason to change: how the station's own signals show that a pump does not deliver.
//
// Three witnesses speak, each only where it is read and can tell:
//
//   flow meter   the flow of the station against the flow of the running pumps by their curves
//   current      the motor's current against the currents with the curve's flow and without flow; a witness
//                only where the two currents differ enough
//   balance      the store cannot lose more water than the pumps deliver; the balance only contradicts
//
// A reading that stays the same while the flow by the curves changes is no witness. Findings:
//
//   no delivery  the flow of the pump is missing or below its minimum, and the current does not contradict
//   flow back    flow of the station is missing, although the currents show that every running pump delivers
//   flow lost    a pump that runs alone delivers a share less than its curve for minutes
//
// A station that holds a pressure is compared only while no flow leaves the station, because the curve's
// flow rests on the measured pressure, and the vessel serves the demand, too. Only a flow meter and a
// current together then show that a pump does not deliver.
//
// With several pumps running, the missing flow belongs to the pumps whose current shows no flow, or to the
// one pump that was not seen to deliver since it started. Otherwise nothing is claimed.
#pragma once

#include <array>
#include <cstdint>

#include "controller/core/balance.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/inputs.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"

namespace freshet::core {

/// The last comparison of one pump with its curve. A value that is not measured is NaN.
struct PumpDelivery {
    double flow_m3s = 0, expected_m3s = 0, current_a = 0, expected_a = 0;
    double lost_ratio = 0;  ///< mean share of the curve's flow that was missing while the pump ran alone
    double judged_s = 0;    ///< time that the mean rests on
    std::int64_t fails_ms = never_ms, below_minimum_ms = never_ms, delivers_ms = never_ms;
};

/// The memory of the watch.
struct DeliveryWatch {
    std::array<PumpDelivery, pumps_max> pumps{};
    PumpMask running = 0;  ///< the pumps of the present combination
    std::int64_t since_ms = never_ms;
    std::int64_t next_ms = never_ms;  ///< of the next comparison
    PumpMask joined = 0;  ///< the one pump that started last, where the flow before its start was read
    double meter_before_m3s = 0;
    PumpMask proven = 0;  ///< running pumps that were seen to deliver since they started
    PumpMask shut = 0;    ///< pumps at rest through which no water was missing since they stopped
    PumpMask lost = 0;    ///< pumps with flow lost
    std::int64_t back_ms = never_ms;
    double back_flow_m3s = 0, back_expected_m3s = 0;
    double meter_m3s = -1;          ///< last reading of the flow meter; below zero: none
    double meter_by_curve_m3s = 0;  ///< flow by the curves when the reading last changed
    bool meter_proven = false;      ///< the meter has read a plausible flow before
};

/// The inputs of one comparison.
struct DeliveryView {
    const Inputs& inputs;
    const Sight& sight;
    const Balance& balance;
    const FlowTable& flows;
    const Settings& settings;
};

/// Compares the running pumps with their curves every five seconds. Call once a second, after the balance, so that a
/// change of pumps is seen at once. Latches the alarms of a
/// pump that does not deliver and of flow back, and clears them when the pump is seen in order.
void watch_delivery(DeliveryWatch& watch, SequencerState& sequencer, const DeliveryView& at) noexcept;

/// The pumps that were seen not to deliver, and have not been seen in order since.
PumpMask without_delivery(const SequencerState& sequencer) noexcept;

/// The pumps that another pump should replace: without delivery, or with flow back.
PumpMask doubtful_delivery(const SequencerState& sequencer) noexcept;

}  // namespace freshet::core
