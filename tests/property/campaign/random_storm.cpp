// Makes random storms; see the header.
#include "tests/property/campaign/random_storm.hpp"

#include <algorithm>
#include <sstream>

#include "config/devices.hpp"
#include "sim_plant/physics/noise.hpp"

namespace freshet::campaign {
namespace {

using config::FaultKind;

constexpr double quiet_s = 360, storm_s = 1200;

class Dice {
  public:
    explicit Dice(std::uint64_t seed) : source_(seed * 0x9E3779B97F4A7C15ULL + 1) {}
    double between(double low, double high) { return low + (high - low) * source_.uniform(); }
    std::size_t below(std::size_t count) {
        return std::min(static_cast<std::size_t>(between(0, static_cast<double>(count))), count - 1);
    }

  private:
    plant::NoiseSource source_;
};

/// A random amount. The headers of transmitter, wires, contactor, drive and line give the meaning for each
/// kind.
double amount_of(FaultKind kind, config::DeviceClass device, Dice& dice) {
    switch (kind) {
        case FaultKind::offset:
            return dice.between(-1.0, 1.0);
        case FaultKind::lagging:
            return dice.between(0.5, 20);
        case FaultKind::drops_out:
            // For a transmitter the share of the time with an open loop, for a wire half a period in seconds.
            return device == config::DeviceClass::transmitter ? dice.between(0.05, 0.95)
                                                              : dice.between(0.5, 20);
        case FaultKind::drift:
            return dice.between(-0.01, 0.01);
        case FaultKind::spike:
            return dice.between(-2, 2);
        case FaultKind::closes_late:
            return dice.between(0.05, 2);
        case FaultKind::slips_out_of_sync:
            return dice.between(0.05, 0.5);
        case FaultKind::blocked:
        case FaultKind::dip:
            return dice.between(0.05, 0.9);
        case FaultKind::worn:
            return dice.between(0.02, 0.4);
        case FaultKind::wander:
            return dice.between(0.02, 0.3);
        case FaultKind::link_slow:
            return dice.between(0.05, 1.5);
        case FaultKind::link_garbled:
            return dice.between(0.05, 1.0);
        case FaultKind::selector_hand:
            return static_cast<double>(dice.below(2));
        default:
            return 0;
    }
}

/// A curve of flow: quiet, rising, constant, falling.
std::vector<config::SeriesPoint> surge(Dice& dice, double quiet_m3s, double peak_m3s) {
    const double up_s = dice.between(60, 480);
    const double held_s = dice.between(0, 180);
    const double down_s = dice.between(60, 300);
    const double after_m3s = dice.between(0.3, 1.0) * quiet_m3s;
    return {{0, quiet_m3s},
            {quiet_s, quiet_m3s},
            {quiet_s + up_s, peak_m3s},
            {quiet_s + up_s + held_s + 1, peak_m3s},
            {quiet_s + up_s + held_s + down_s + 2, after_m3s},
            {storm_s + 1, after_m3s}};
}

bool is_level(const config::Fault& fault) {
    return fault.device == "level_1" || fault.device == "level_2";
}

/// A link that passes too few readings: lost, answered too late for any reader, or nearly always garbled.
bool passes_too_few_readings(const config::Fault& fault) {
    constexpr double answered_too_late_s = 1, nearly_all = 0.8;
    return fault.kind == FaultKind::link_lost ||
           (fault.kind == FaultKind::link_slow && fault.amount >= answered_too_late_s) ||
           (fault.kind == FaultKind::link_garbled && fault.amount > nearly_all);
}

/// A fault of a part that no pump of a well needs for staging. Such a fault does not reduce the station's
/// capacity.
bool reduces_no_capacity(const config::Fault& fault, config::DeviceClass device) {
    return device == config::DeviceClass::link || fault.kind == FaultKind::wander ||
           fault.device == "station_flow" || fault.device == "header_pressure";
}

}  // namespace

config::Scenario random_storm(const Base& base, std::uint64_t seed) {
    Dice dice(seed);
    const config::Station& station = base.station.station;
    const core::Settings& settings = base.station.settings;
    const core::Settings::Marks& marks = settings.marks;
    const double full_m3s =
        core::solve_combination(settings, {settings.pump_count, 0, marks.setpoint_m}).total_m3s;
    config::Scenario storm = base.scenario;
    storm.seed = seed;
    storm.duration_s = storm_s;
    storm.weather = {};
    storm.demand_m3s.clear();
    const double quiet_m3s = dice.between(0.02, 0.09) * full_m3s;
    const auto series = surge(dice, quiet_m3s, dice.between(0.1, 1.15) * full_m3s);
    if (station.duty == config::Duty::empty_well) {
        storm.weather.measured_inflow_m3s = series;
        storm.initial_level_m = dice.between(marks.stop_m, 0.5 * (marks.stop_m + marks.setpoint_m));
    } else {
        storm.demand_m3s = series;
        storm.initial_level_m = dice.between(marks.setpoint_m, 0.5 * (marks.stop_m + marks.setpoint_m));
    }

    std::vector<std::string> names = config::device_names(station.pump_count);
    // The reset button is pressed by people and not by a fault, so that a seed keeps its storm.
    std::erase(names, "emergency_stop_reset");
    const std::size_t faults = dice.below(5);
    storm.faults.clear();
    for (std::size_t i = 0; i < faults; ++i) {
        config::Fault fault;
        fault.device = names[dice.below(names.size())];
        const auto device = config::find_device(fault.device, station.pump_count);
        const auto kinds = config::faults_of(device->kind_of_device);
        fault.kind = kinds[dice.below(kinds.size())];
        fault.begins_s = dice.between(quiet_s, storm_s - 120);
        fault.lasts_s = dice.below(3) == 0 ? 0 : dice.between(1, 240);
        fault.amount = amount_of(fault.kind, device->kind_of_device, dice);
        // Each kind at most once on a device, so that the few faults of a storm differ.
        const bool there = std::any_of(storm.faults.begin(), storm.faults.end(), [&](const auto& other) {
            return other.device == fault.device && other.kind == fault.kind;
        });
        if (!there) storm.faults.push_back(fault);
    }
    add_resets(storm);
    return storm;
}

void add_resets(config::Scenario& scenario) {
    constexpr double until_reset_s = 60;
    scenario.people.clear();
    for (const config::Fault& fault : scenario.faults) {
        const bool operates = fault.kind == FaultKind::emergency_stop ||
                              (fault.device == "emergency_stop" && fault.kind == FaultKind::stuck_on);
        if (operates && fault.lasts_s > 0)
            scenario.people.push_back({fault.begins_s + fault.lasts_s + until_reset_s});
    }
}

std::string described(const config::Scenario& scenario) {
    std::ostringstream text;
    for (const config::Fault& fault : scenario.faults) {
        text << "  " << fault.device << " " << config::word_for(fault.kind) << " " << fault.amount << " from "
             << fault.begins_s << " s";
        if (fault.lasts_s > 0) text << " for " << fault.lasts_s << " s";
        text << "\n";
    }
    return text.str();
}

Handicap handicap_of(const config::Scenario& scenario, std::size_t pump_count,
                     std::size_t level_transmitters) {
    Handicap handicap;
    handicap.pump_faulty.assign(pump_count, false);
    std::string level_faulty;
    for (const config::Fault& fault : scenario.faults) {
        const config::Device device = *config::find_device(fault.device, pump_count);
        const bool blind = passes_too_few_readings(fault);
        const bool keeps_running = fault.kind == FaultKind::does_not_open ||
                                   fault.kind == FaultKind::lies_open ||
                                   (fault.kind == FaultKind::selector_hand && fault.amount > 0) || blind;
        handicap.cannot_be_stopped = handicap.cannot_be_stopped || keeps_running;
        // All pumps share the drive's bus and the header. A drive-side contact that is closed, or shows
        // closed, keeps the drive from every other pump. A line side that does not close, or does not show
        // closed, keeps the drive for the pump's minimum run. A non-return valve that stays open lets the
        // other pumps' water flow back.
        const bool holds_drive =
            fault.device.find("drive_side") != std::string::npos ||
            (fault.device.find("line_side") != std::string::npos && fault.kind != FaultKind::does_not_open);
        const bool shared = fault.kind == FaultKind::valve_stuck_open || holds_drive;
        if (!blind && reduces_no_capacity(fault, device.kind_of_device)) continue;
        if (device.pump < pump_count && !shared) {
            handicap.pump_faulty[device.pump] = true;
            continue;
        }
        const bool one_of_two = is_level(fault) && level_transmitters > 1 &&
                                (level_faulty.empty() || level_faulty == fault.device);
        if (one_of_two)
            level_faulty = fault.device;
        else
            handicap.station_wide = true;
    }
    return handicap;
}

}  // namespace freshet::campaign
