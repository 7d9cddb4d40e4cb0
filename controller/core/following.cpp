// Following the inflow; see the header.
#include "controller/core/following.hpp"

#include <algorithm>

#include "controller/core/fill_and_draw.hpp"
#include "controller/core/need.hpp"
#include "controller/core/numbers.hpp"

namespace freshet::core {

namespace {

/// The need beyond the deadband, m; zero inside.
double beyond_deadband_m(double need_m, double deadband_m) noexcept {
    return need_m - bounded(need_m, -deadband_m, deadband_m);
}

/// The need without the noise of the readings, m.
double smooth_need_m(const Sight& sight, const Balance& balance) noexcept {
    if (!balance.estimate.known() || !(sight.area_m2 > 0)) return sight.need_m;
    return sight.need_m + (balance.estimate.volume_m3() - balance.last_volume_m3) / sight.area_m2;
}

/// The volume that the moving water in the main takes beyond the steady flow of the present combination, m3.
/// Zero while the flow of that combination is steady.
double coasting_m3(const Following& following, const Balance& balance, std::size_t line_pumps, double value_m,
                   const FlowTable& flows, const Settings& settings) noexcept {
    constexpr double same_hz = 0.02;
    if (magnitude(following.speed_hz - balance.steady_hz) <= same_hz) return 0;
    return balance.flow_ratio *
           flows.coasting_m3(line_pumps, following.speed_hz, value_m, balance.pumped_m3s, settings);
}

/// The inflow that the speed trusts, m3/s. An uncertain inflow counts less, and the present flow of the pumps
/// takes its place.
double trusted_inflow_m3s(const Balance& balance, double pump_m3s) noexcept {
    const double pumped_m3s = balance.flow_ratio * balance.pumped_m3s;
    if (!balance.estimate.known()) return pumped_m3s;
    constexpr double doubtful_share = 0.1;
    const double doubt = balance.estimate.doubt_m3s() / (doubtful_share * pump_m3s);
    return pumped_m3s + (balance.estimate.inflow_m3s() - pumped_m3s) / (1 + doubt * doubt);
}

/// Without a measured value the pumps carry the last known inflow, so that the level stays about where it was.
void aim_by_last_inflow(Following& following, const Sight& sight, const Balance& balance, double lowest_hz,
                        const FlowTable& flows, const Settings& settings) noexcept {
    const double highest_hz = settings.drive.speed_max_hz;
    const std::int64_t now_ms = sight.picture.time_ms;
    const bool called = balance.called_ms != never_ms;
    const bool runs_on = called && now_ms - balance.called_ms < settings.floats.run_on_ms;
    const std::size_t others = other_line_pumps(sight.picture, following.pump);
    const double value_m = value_of(settings, sight.witness.reckoned_need_m);
    if (runs_on)
        following.aim_hz = highest_hz;
    else if (called || balance.inflow_ms != never_ms)
        following.aim_hz = flows.speed_for_hz(others, balance.inflow_m3s / balance.flow_ratio, value_m,
                                              following.aim_hz, lowest_hz, highest_hz);
    else
        following.aim_hz = following.speed_hz;
}

/// The least change of the speed, Hz. Noise of the estimate does not move the speed. While the value stays outside the
/// deadband, a small change counts too, because the value would otherwise never come back.
double slack_now_hz(Following& following, bool is_trimmed, std::int64_t now_ms) noexcept {
    constexpr double usual_hz = 0.12, least_hz = 0.01;
    constexpr std::int64_t patience_ms = 60'000;
    if (!is_trimmed)
        following.trimmed_ms = never_ms;
    else if (following.trimmed_ms == never_ms)
        following.trimmed_ms = now_ms;
    return is_trimmed && now_ms - following.trimmed_ms >= patience_ms ? least_hz : usual_hz;
}

/// The speed that the duty asks of the drive pump, Hz: the speed of a draw, and asleep the minimum flow. At the
/// lower mark a pump that must keep running for its minimum run delivers its minimum flow.
double asked_hz(const WaterDuty& duty, double need_m, std::size_t line_pumps, double followed_hz,
                double lowest_hz) noexcept {
    if (!duty.draws() && !duty.sleeps()) return followed_hz;
    if (need_m <= draw_marks(duty.marks, line_pumps).lower_m) return lowest_hz;
    const double wanted_hz = duty.sleeps() ? lowest_hz : duty.draw_hz;
    return need_m > duty.marks.stage_up_m ? std::max(wanted_hz, followed_hz) : wanted_hz;
}

}  // namespace

void aim(Following& following, const Sight& sight, const Balance& balance, Service service, double lowest_hz,
         const WaterDuty& duty, const FlowTable& flows, const Settings& settings) noexcept {
    const NeedMarks& marks = duty.marks;
    const std::uint8_t pump = following.pump;
    if (pump == no_pump) return;
    if (service == Service::floats)
        return aim_by_last_inflow(following, sight, balance, lowest_hz, flows, settings);
    const std::size_t others = other_line_pumps(sight.picture, pump);
    const double value_m = sight.measured().value_m;
    const double highest_hz = settings.drive.speed_max_hz;
    const double least_m3s = balance.flow_ratio * flows.least_m3s(others, lowest_hz, value_m);
    const double pump_m3s = settings.minimum_flow_m3s + flows.flow_per_hz(others) * (highest_hz - lowest_hz);
    const double inflow_m3s = trusted_inflow_m3s(balance, pump_m3s);
    // The water that still moves, or does not move yet, counts as if it had come to its steady flow. Otherwise
    // the speed would hunt behind a long main.
    const double extra_m3 = coasting_m3(following, balance, others, value_m, flows, settings);
    const double need_m = smooth_need_m(sight, balance) - extra_m3 / sight.area_m2;

    // In the band the trim begins at the stage-up mark. A hundredth of the pump's flow above the band the trim
    // begins at the deadband, and between the two the share of the trim is in proportion.
    constexpr double edge_share = 0.01, draw_share = 0.03;
    const double out_of_band = bounded((inflow_m3s - least_m3s) / (edge_share * pump_m3s) + 1, 0, 1);
    const double in_band_m = beyond_deadband_m(need_m - marks.hold_m, marks.stage_up_m - marks.hold_m);
    const double held_m = beyond_deadband_m(need_m - marks.hold_m, marks.deadband_m);
    const double trim_m = in_band_m + out_of_band * (held_m - in_band_m);
    double wanted_m3s = inflow_m3s + 2 * sight.area_m2 * trim_m / settings.demand.arrest_s;
    if (out_of_band < 1 && need_m > marks.stage_down_m)
        wanted_m3s = std::max(wanted_m3s, inflow_m3s + (1 - out_of_band) * draw_share * pump_m3s);

    const double urgency = bounded((need_m - marks.stage_up_m) / (marks.high_m - marks.stage_up_m), 0, 1);
    const double urgent_hz = lowest_hz + urgency * (highest_hz - lowest_hz);
    const double followed_hz = flows.speed_for_hz(others, wanted_m3s / balance.flow_ratio, value_m,
                                                  following.aim_hz, lowest_hz, highest_hz);
    const double speed_hz = std::max(asked_hz(duty, need_m, others, followed_hz, lowest_hz), urgent_hz);
    const double slack_hz = slack_now_hz(following, trim_m != 0, sight.picture.time_ms);
    if (speed_hz <= lowest_hz)
        following.aim_hz = 0;
    else if (speed_hz >= highest_hz)
        following.aim_hz = speed_hz;
    else if (magnitude(speed_hz - following.aim_hz) > slack_hz)
        // Half of the slack stays between the two, so that the next change by noise is half a slack away on both sides.
        following.aim_hz = bounded(following.aim_hz, speed_hz - 0.5 * slack_hz, speed_hz + 0.5 * slack_hz);
}

void follow(Following& following, const Sight& sight, const SequencerState& sequencer, Service service,
            double lowest_hz, double elapsed_s, const Settings& settings) noexcept {
    const std::uint8_t pump = sequencer.main.step == Step::idle ? sequencer.drive_pump : no_pump;
    if (pump == no_pump) {
        following.pump = no_pump;
        return;
    }
    const double highest_hz = settings.drive.speed_max_hz;
    if (pump != following.pump) {
        const double found_hz = sight.picture.drive_hz_known ? sight.picture.drive_hz : lowest_hz;
        following = {bounded(found_hz, lowest_hz, highest_hz), bounded(found_hz, lowest_hz, highest_hz),
                     pump};
        return;
    }
    if (sight.floats.calls && service != Service::hold)
        following.aim_hz = highest_hz;
    else if (service == Service::hold)
        following.aim_hz = following.speed_hz;
    const bool held = sight.pressure.high && following.speed_hz >= lowest_hz;
    const double aim_hz =
        std::max(held ? std::min(following.aim_hz, following.speed_hz) : following.aim_hz, lowest_hz);
    const double change_hz = settings.demand.rate_max_hz_s * elapsed_s;
    const double reached_hz = bounded(aim_hz, following.speed_hz - change_hz, following.speed_hz + change_hz);
    following.speed_hz = bounded(reached_hz, lowest_hz, highest_hz);
}

}  // namespace freshet::core
