// Falsifies readings. The header lists the faults.
//
// One reason to change: how a fault of a wire changes a reading.
#include "sim_plant/station/wires.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace freshet::plant {
namespace {

using config::FaultKind;

constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
constexpr double ms_per_s = 1000;
constexpr double spike_share = 0.05;
constexpr double erratic_ratio = 10;
constexpr double period_default_s = 1;

bool is_bit(config::SignalIndex signal) {
    return config::definition_of(signal).kind == config::SignalKind::digital;
}

}  // namespace

void Wires::set(config::SignalIndex signal, FaultKind kind, double amount, std::int64_t since_ms) {
    for (Fault& fault : faults_) {
        if (fault.signal != signal || fault.kind != kind) continue;
        fault.amount = amount;
        return;
    }
    faults_.push_back({signal, kind, amount, since_ms, 0, false});
}

void Wires::clear(config::SignalIndex signal, FaultKind kind) {
    std::erase_if(faults_, [=](const Fault& fault) { return fault.signal == signal && fault.kind == kind; });
}

void Wires::falsify(config::Readings& readings, std::int64_t now_ms) {
    for (Fault& fault : faults_) {
        double& reading = readings[fault.signal];
        const double elapsed_s = static_cast<double>(now_ms - fault.since_ms) / ms_per_s;
        switch (fault.kind) {
            case FaultKind::dead:
                reading = is_bit(fault.signal) ? 0 : nothing;
                break;
            case FaultKind::frozen:
                if (!fault.holds) {
                    fault.held = reading;
                    fault.holds = true;
                }
                reading = fault.held;
                break;
            case FaultKind::erratic:
                reading = (2 * noise_.uniform() - 1) * erratic_ratio * std::max(std::abs(reading), 1.0);
                break;
            case FaultKind::offset:
                reading += fault.amount;
                break;
            case FaultKind::drift:
                reading += fault.amount * elapsed_s;
                break;
            case FaultKind::drops_out: {
                const double period_s = fault.amount > 0 ? fault.amount : period_default_s;
                if (static_cast<std::int64_t>(elapsed_s / period_s) % 2 == 0) reading = nothing;
                break;
            }
            case FaultKind::spike:
                if (noise_.uniform() < spike_share) reading += fault.amount;
                break;
            case FaultKind::stuck_on:
                reading = 1;
                break;
            case FaultKind::stuck_off:
                reading = 0;
                break;
            default:
                break;
        }
    }
}

}  // namespace freshet::plant
