// Foreseeing a climb; see the header.
#include "controller/core/climb.hpp"

#include <algorithm>

#include "controller/core/step_limits.hpp"
#include "controller/core/times.hpp"

namespace freshet::core {

namespace {

/// The time of synchronising and of the contactor moves of a transfer, ms. One contactor closes on the second
/// source. The output and the other side open. Then one side and the output close for the next motor.
std::int64_t transfer_ms(const Settings& settings) noexcept {
    constexpr std::int64_t contactor_moves = 5;
    return settings.step.synchronise_expected_ms +
           contactor_moves * (std::int64_t{settings.sync.line_side_closing_ms} + settings.scan_ms);
}

/// The volume of a climb over its phases.
struct Phases {
    const ClimbStart& start;
    double inflow_m3s, volume_m3, peak_m3;

    void pass(double flow_m3s, double time_s) noexcept {
        const double longer_s = start.margin * time_s;
        const double before_m3s = inflow_m3s;
        inflow_m3s += start.rise_m3s2 * longer_s;
        volume_m3 += longer_s * (0.5 * (before_m3s + inflow_m3s) - flow_m3s);
        peak_m3 = std::max(peak_m3, volume_m3);
    }
};

}  // namespace

std::int64_t bring_up_ms(const Settings& settings, double drive_hz, double next_minimum_hz) noexcept {
    const Settings::Drive& drive = settings.drive;
    const double rise_hz = drive.line_frequency_hz > drive_hz ? drive.line_frequency_hz - drive_hz : 0;
    return ramp_ms(rise_hz + next_minimum_hz, drive.ramp_up_hz_s) + transfer_ms(settings);
}

std::int64_t take_back_ms(const Settings& settings, double drive_hz) noexcept {
    const Settings::Drive& drive = settings.drive;
    return ramp_ms(drive_hz, drive.ramp_down_hz_s) + ramp_ms(drive.line_frequency_hz, drive.ramp_up_hz_s) +
           transfer_ms(settings);
}

std::int64_t start_on_drive_ms(const Settings& settings, double minimum_hz) noexcept {
    constexpr std::int64_t contactor_moves = 2;
    return ramp_ms(minimum_hz, settings.drive.ramp_up_hz_s) +
           contactor_moves * (std::int64_t{settings.sync.drive_side_closing_ms} + settings.scan_ms);
}

Climb foresee_climb(const ClimbStart& start, const FlowTable& flows, const Settings& settings) noexcept {
    const Settings::Drive& drive = settings.drive;
    const auto flow_m3s = [&](std::size_t beside, double speed_hz) {
        return start.flow_ratio * flows.total_m3s(beside, speed_hz, start.value_m);
    };
    Phases phases{start, start.inflow_m3s, start.volume_m3, start.volume_m3};
    std::size_t line_pumps = start.line_pumps;
    std::size_t left = start.pumps_left;
    double drive_hz = start.drive_hz;
    while (true) {
        const double line_only_m3s = flow_m3s(line_pumps, 0);
        if (!(drive_hz > 0)) {
            if (left == 0 || phases.inflow_m3s <= line_only_m3s)
                return {phases.peak_m3, line_only_m3s, phases.inflow_m3s <= line_only_m3s};
            --left;
            drive_hz = flows.minimum_flow_hz(line_pumps, start.value_m);
            phases.pass(line_only_m3s, seconds_of(start_on_drive_ms(settings, drive_hz)));
        }
        const double full_m3s = flow_m3s(line_pumps, drive.speed_max_hz);
        const double present_m3s = flow_m3s(line_pumps, drive_hz);
        const double rise_s = std::max(drive.speed_max_hz - drive_hz, 0.0) /
                              std::min(drive.ramp_up_hz_s, settings.demand.rate_max_hz_s);
        phases.pass(0.5 * (present_m3s + full_m3s), rise_s);
        if (left == 0 || phases.inflow_m3s <= full_m3s)
            return {phases.peak_m3, full_m3s, phases.inflow_m3s <= full_m3s};
        phases.pass(full_m3s, seconds_of(transfer_ms(settings)));
        ++line_pumps;
        drive_hz = 0;
    }
}

}  // namespace freshet::core
