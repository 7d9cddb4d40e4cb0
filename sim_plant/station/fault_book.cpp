// Keeps the list of the faults in force. The header declares the functions.
//
// One reason to change: how timed faults and faults set by hand combine.
#include "sim_plant/station/fault_book.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <string>

namespace freshet::plant {
namespace {

constexpr std::size_t by_hand = std::numeric_limits<std::size_t>::max();
constexpr double ms_per_s = 1000;

std::int64_t after(std::int64_t start_ms, double seconds) {
    return start_ms + static_cast<std::int64_t>(std::llround(seconds * ms_per_s));
}

}  // namespace

FaultBook::FaultBook(const config::Scenario& scenario, std::size_t pump_count) {
    for (const config::Fault& fault : scenario.faults) {
        const auto device = config::find_device(fault.device, pump_count);
        if (!device) throw std::invalid_argument("fault on an unknown device: " + fault.device);
        if (!config::takes(device->kind_of_device, fault.kind))
            throw std::invalid_argument("the device " + fault.device + " takes no fault of the kind " +
                                        std::string{config::word_for(fault.kind)});
        const std::int64_t begins_ms = after(scenario.start_ms, fault.begins_s);
        changes_.push_back({begins_ms, timed_.size(), true});
        if (fault.lasts_s > 0)
            changes_.push_back(
                {after(scenario.start_ms, fault.begins_s + fault.lasts_s), timed_.size(), false});
        timed_.push_back({*device, fault.kind, fault.amount, begins_ms});
    }
    std::stable_sort(changes_.begin(), changes_.end(), [](const Change& a, const Change& b) {
        return a.due_ms != b.due_ms ? a.due_ms < b.due_ms : a.begins < b.begins;
    });
    if (!changes_.empty()) next_due_ms_ = changes_.front().due_ms;
    // All faults may be in force at the same time. The memory is reserved here, because a step must not
    // allocate.
    standing_.assign(timed_.size(), 0);
    in_force_.reserve(timed_.size() + 8);
    origin_.reserve(timed_.size() + 8);
}

bool FaultBook::advance(std::int64_t now_ms) {
    bool changed = false;
    while (next_due_ms_ <= now_ms) {
        const Change& change = changes_[next_change_];
        standing_[change.fault] = change.begins ? 1 : 0;
        if (change.begins) {
            put(timed_[change.fault], change.fault);
            changed = true;
        } else {
            const auto found = std::find(origin_.begin(), origin_.end(), change.fault);
            if (found != origin_.end()) {  // nobody cleared or replaced the fault by hand
                in_force_.erase(in_force_.begin() + (found - origin_.begin()));
                origin_.erase(found);
                resume(timed_[change.fault]);
                changed = true;
            }
        }
        ++next_change_;
        next_due_ms_ = next_change_ < changes_.size() ? changes_[next_change_].due_ms : never_due_ms;
    }
    return changed;
}

void FaultBook::set(const config::Device& device, config::FaultKind kind, double amount,
                    std::int64_t now_ms) {
    put({device, kind, amount, now_ms}, by_hand);
}

bool FaultBook::clear(const config::Device& device) {
    bool found = false;
    for (std::size_t i = in_force_.size(); i-- > 0;) {
        if (in_force_[i].device != device) continue;
        in_force_.erase(in_force_.begin() + static_cast<std::ptrdiff_t>(i));
        origin_.erase(origin_.begin() + static_cast<std::ptrdiff_t>(i));
        found = true;
    }
    for (std::size_t i = 0; i < timed_.size(); ++i)
        if (timed_[i].device == device) standing_[i] = 0;
    return found;
}

void FaultBook::resume(const ActiveFault& ended) {
    std::size_t latest = timed_.size();
    for (std::size_t i = 0; i < timed_.size(); ++i)
        if (standing_[i] != 0 && timed_[i].kind == ended.kind && timed_[i].device == ended.device &&
            (latest == timed_.size() || timed_[i].since_ms >= timed_[latest].since_ms))
            latest = i;
    if (latest != timed_.size()) put(timed_[latest], latest);
}

void FaultBook::put(const ActiveFault& fault, std::size_t timed) {
    for (std::size_t i = 0; i < in_force_.size(); ++i) {
        if (in_force_[i].device != fault.device || in_force_[i].kind != fault.kind) continue;
        in_force_[i] = fault;
        origin_[i] = timed;
        return;
    }
    in_force_.push_back(fault);
    origin_.push_back(timed);
}

}  // namespace freshet::plant
