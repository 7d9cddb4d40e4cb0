// Finds what the faults in force take away; see the header.
#include "tests/property/staging/lost_equipment.hpp"

#include "config/signals.hpp"

namespace freshet::staging_campaign {
namespace {

using config::FaultKind;

void lose_drive(LostEquipment& lost, FaultKind kind) {
    const bool stops = kind == FaultKind::trip || kind == FaultKind::not_ready;
    (stops ? lost.drive : lost.hand_over) = true;
}

void lose_pump(LostEquipment& lost, std::size_t pump, FaultKind kind) {
    if (kind == FaultKind::valve_stuck_open) {
        lost.runs_back[pump] = true;
        return;
    }
    lost.no_start[pump] = true;
    lost.weak[pump] = kind == FaultKind::blocked || kind == FaultKind::worn;
}

/// A contactor that only closes late, or whose auxiliary contact alone is wrong, is not lost.
void lose_contactor(LostEquipment& lost, const plant::ActiveFault& fault,
                    const plant::PowerTrainState& electrical) {
    const bool does_not_close = fault.kind == FaultKind::does_not_close;
    if (!does_not_close && fault.kind != FaultKind::does_not_open) return;
    const std::size_t pump = fault.device.pump;
    if (pump >= electrical.motors.size()) {
        lost.drive = true;
        return;
    }
    const plant::MotorState& motor = electrical.motors[pump];
    const bool drive_side =
        fault.device.signal == config::index_of(pump, config::PumpSignal::drive_side_closed);
    // A line side that does not open keeps its pump running, which spills nothing.
    if (!drive_side && !does_not_close) return;
    lost.no_start[pump] = true;
    // The pump keeps the drive for itself.
    if (motor.drive_side_closed && drive_side != does_not_close) lost.drive = true;
}

}  // namespace

LostEquipment lost_equipment(const std::vector<plant::ActiveFault>& faults,
                             const plant::PowerTrainState& electrical) {
    LostEquipment lost;
    for (const plant::ActiveFault& fault : faults) switch (fault.device.kind_of_device) {
            case config::DeviceClass::emergency_stop:
                lost.station = lost.station || fault.kind != FaultKind::stuck_off;
                break;
            case config::DeviceClass::contactor:
                lose_contactor(lost, fault, electrical);
                break;
            case config::DeviceClass::drive:
                lose_drive(lost, fault.kind);
                break;
            case config::DeviceClass::pump:
                lose_pump(lost, fault.device.pump, fault.kind);
                break;
            default:
                break;
        }
    return lost;
}

}  // namespace freshet::staging_campaign
