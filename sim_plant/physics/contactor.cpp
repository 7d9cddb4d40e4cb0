// One contactor's movements: see the header.
//
// One reason to change: the behaviour of a contactor.
#include "sim_plant/physics/contactor.hpp"

#include <algorithm>

namespace freshet::plant {

void Contactor::begin(bool close, MachineNoise& noise) {
    constexpr double shortest_s = 0.001;
    const double spread = data_.spread_s * (2 * noise.uniform() - 1);
    const double nominal = close ? data_.closing_s + late_s_ : data_.opening_s;
    target_ = close;
    moving_ = true;
    left_s_ = std::max(shortest_s, nominal + spread);
}

void Contactor::order(bool close, MachineNoise& noise) {
    ordered_ = close;
    if (!close) latched_out_ = false;
    const bool wanted = close && !latched_out_;
    const bool going_to = moving_ ? target_ : closed_;
    if (wanted == going_to) return;
    if (wanted == closed_) {  // the contacts had not moved yet, and the armature returns
        moving_ = false;
        return;
    }
    if (wanted ? does_not_close_ : does_not_open_) return;
    begin(wanted, noise);
}

void Contactor::fall_out(MachineNoise& noise) {
    if (ordered_) latched_out_ = true;
    const bool going_to = moving_ ? target_ : closed_;
    if (!going_to) return;
    if (!closed_) {
        moving_ = false;
        return;
    }
    if (does_not_open_) return;
    begin(false, noise);
}

bool Contactor::advance(double dt_s) {
    if (!moving_) return false;
    left_s_ -= dt_s;
    constexpr double rounding_s = 1e-9;
    if (left_s_ > rounding_s) return false;
    moving_ = false;
    const bool changed = closed_ != target_;
    closed_ = target_;
    return changed;
}

void Contactor::set_fault(config::FaultKind kind, bool active, double amount) {
    using config::FaultKind;
    switch (kind) {
        case FaultKind::does_not_close:
            does_not_close_ = active;
            if (active && moving_ && target_) moving_ = false;
            break;
        case FaultKind::does_not_open:
            does_not_open_ = active;
            if (active && moving_ && !target_) moving_ = false;
            break;
        case FaultKind::closes_late:
            late_s_ = active ? amount : 0;
            break;
        case FaultKind::lies_closed:
            lies_closed_ = active;
            break;
        case FaultKind::lies_open:
            lies_open_ = active;
            break;
        default:
            break;
    }
}

}  // namespace freshet::plant
