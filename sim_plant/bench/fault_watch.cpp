// Compares the active faults with the faults of the last comparison; see the header.
#include "sim_plant/bench/fault_watch.hpp"

#include <algorithm>
#include <optional>
#include <string>

#include "config/loader/fault_amounts.hpp"

namespace freshet::bench {
namespace {

std::string name_of(const config::Device& device) {
    for (const std::string& name : config::device_names(config::pumps_max))
        if (config::find_device(name, config::pumps_max) == device) return name;
    return {};
}

/// The amount in the units of an instructor. Empty when the kind has no amount or no amount was given.
std::optional<double> amount_of(const plant::ActiveFault& fault) {
    const config::AmountRule rule = config::amount_of(fault.kind, fault.device.kind_of_device);
    const bool given =
        rule.use != config::AmountUse::none && (rule.use != config::AmountUse::optional || fault.amount != 0);
    return given ? std::optional(fault.amount / rule.factor) : std::nullopt;
}

}  // namespace

void FaultWatch::record_differences(const plant::Plant& plant, record::RunRecord& record) {
    const std::vector<plant::ActiveFault>& now = plant.faults();
    const auto lacks = [](const std::vector<plant::ActiveFault>& list, const plant::ActiveFault& fault) {
        return std::ranges::find(list, fault) == list.end();
    };
    const auto record_fault = [&](std::string_view what, const plant::ActiveFault& fault) {
        record.fault({.time_ms = plant.time_ms(),
                      .by = "scenario",
                      .what = what,
                      .device = name_of(fault.device),
                      .kind = config::word_for(fault.kind),
                      .amount = amount_of(fault)});
    };
    for (const plant::ActiveFault& fault : active_before_)
        if (lacks(now, fault)) record_fault("cleared", fault);
    for (const plant::ActiveFault& fault : now)
        if (lacks(active_before_, fault)) record_fault("set", fault);
    skip_changes(plant);
}

}  // namespace freshet::bench
