// Passes each fault to the part of the station that simulates the fault.
//
// One reason to change: which part a kind of device belongs to.
#include <algorithm>
#include <cmath>

#include "sim_plant/station/plant_parts.hpp"

namespace freshet::plant {
namespace {

using config::FaultKind;
using config::index_of;
using config::PumpSignal;

constexpr double s_per_ms = 0.001;
// The delay of a slow link when the fault gives no delay.
constexpr std::int64_t link_slow_default_ms = 500;

}  // namespace

void Plant::Parts::route_to_pump(std::size_t pump, const ActiveFault& fault, bool active) {
    switch (fault.kind) {
        case FaultKind::trip:
            machines.set_pump_trip(pump, active);
            break;
        case FaultKind::blocked:
            water.set_blockage(pump, active ? fault.amount : 0);
            break;
        case FaultKind::worn:
            water.set_wear(pump, active ? 1 - fault.amount : 1);
            break;
        case FaultKind::valve_stuck_open:
            water.set_valve_stuck_open(pump, active);
            break;
        case FaultKind::selector_off:
        case FaultKind::selector_hand:
            panels[pump] = {};
            if (active)
                panels[pump] = {
                    fault.kind == FaultKind::selector_off ? SelectorPosition::off : SelectorPosition::hand,
                    fault.kind == FaultKind::selector_hand && fault.amount > 0};
            people_interfere = std::any_of(panels.begin(), panels.end(), [](const Panel& panel) {
                return panel.selector != SelectorPosition::automatic;
            });
            break;
        default:
            break;
    }
}

void Plant::Parts::route_to_contactor(const ActiveFault& fault, bool active) {
    const config::Device& device = fault.device;
    const bool output = device.pump >= pump_count;
    const bool drive_side = !output && device.signal == index_of(device.pump, PumpSignal::drive_side_closed);
    machines.set_contactor_fault(output       ? ContactorAt::drive_output
                                 : drive_side ? ContactorAt::drive_side
                                              : ContactorAt::line_side,
                                 output ? 0 : device.pump, fault.kind, active, fault.amount);
}

void Plant::Parts::route_to_link(const ActiveFault& fault, bool active) {
    if (fault.kind == FaultKind::link_lost) link.lost = active;
    if (fault.kind == FaultKind::link_garbled)
        link.garbled_share = !active ? 0 : fault.amount > 0 ? fault.amount : 1;
    if (fault.kind == FaultKind::link_slow)
        link.slow_ms = !active            ? 0
                       : fault.amount > 0 ? std::llround(fault.amount / s_per_ms)
                                          : link_slow_default_ms;
}

void Plant::Parts::route(const ActiveFault& fault, bool active, std::int64_t now_ms) {
    const config::Device& device = fault.device;
    const auto on_wire = [&] {
        if (active)
            wires.set(device.signal, fault.kind, fault.amount, now_ms);
        else
            wires.clear(device.signal, fault.kind);
    };
    switch (device.kind_of_device) {
        case config::DeviceClass::transmitter:
            instruments.set_fault(device.signal, fault.kind, active, fault.amount);
            break;
        case config::DeviceClass::analog:
        case config::DeviceClass::bit:
            on_wire();
            break;
        case config::DeviceClass::emergency_stop:
            if (fault.kind != FaultKind::emergency_stop) {
                on_wire();
                break;
            }
            emergency_stop = active;
            machines.set_emergency_stop(active);
            break;
        case config::DeviceClass::contactor:
            route_to_contactor(fault, active);
            break;
        case config::DeviceClass::drive:
            machines.set_drive_fault(fault.kind, active, fault.amount);
            break;
        case config::DeviceClass::pump:
            route_to_pump(device.pump, fault, active);
            break;
        case config::DeviceClass::line:
            machines.set_line_fault(fault.kind, active, fault.amount);
            break;
        case config::DeviceClass::link:
            route_to_link(fault, active);
            break;
    }
}

void Plant::change_faults() {
    Parts& parts = *parts_;
    const auto holds = [](const std::vector<ActiveFault>& list, const ActiveFault& fault) {
        return std::find(list.begin(), list.end(), fault) != list.end();
    };
    const std::vector<ActiveFault>& now = parts.book.in_force();
    for (const ActiveFault& fault : parts.routed)
        if (!holds(now, fault)) parts.route(fault, false, time_ms_);
    for (const ActiveFault& fault : now)
        if (!holds(parts.routed, fault)) parts.route(fault, true, time_ms_);
    parts.routed = now;
    ++fault_changes_;
    parts.calm = false;
    link_ = parts.link;
}

}  // namespace freshet::plant
