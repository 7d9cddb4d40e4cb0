// The volume balance; see the header.
#include "controller/core/balance.hpp"

#include <algorithm>
#include <cmath>

#include "controller/core/numbers.hpp"
#include "controller/core/store.hpp"

namespace freshet::core {

namespace {

/// Without a good value for this time the inflow is not known.
constexpr double gap_max_s = 60;

/// How late the readings show a change of the pumped flow: half of the second of the mean, and the damping of a
/// usual transmitter (common practice: up to two seconds).
constexpr double reading_lag_s = 1.6;

/// Renews the flow of the running pumps from their curves. The flow follows the speed with the inertia of the
/// main.
void renew_pumped(Balance& balance, const Sight& sight, const FlowTable& flows,
                  const Settings& settings) noexcept {
    const Picture& picture = sight.picture;
    const bool drive_feeds = picture.output_closed && picture.drive_running && picture.drive_hz_known &&
                             (picture.drive_side_closed & ~picture.line_side_closed) != 0;
    const double drive_hz = drive_feeds ? picture.drive_hz : 0;
    const FlowTable::MovingFlow flow = flows.moving(picture.on_line, drive_hz, sight.measured().value_m,
                                                    balance.pumped_m3s, balance.elapsed_s, settings);
    balance.pumped_m3s = flow.flow_m3s;
    balance.steady_hz = flow.steady ? drive_hz : not_steady_hz;
}

/// Renews the pumped flow that the readings show. The readings show a start or a stop late, and the water in the main
/// takes up to a minute to follow. Otherwise the flow counts at once, because a delay would make the speed hunt
/// that follows the inflow.
void renew_seen(Balance& balance, const Picture& picture, double pumped_m3s) noexcept {
    constexpr double follows_s = 60;
    const bool drive_feeds = picture.output_closed && picture.drive_running && picture.drive_side_closed != 0;
    const int running = picture.on_line + (drive_feeds ? 1 : 0);
    balance.late_s =
        running == balance.running ? std::max(balance.late_s - balance.elapsed_s, 0.0) : follows_s;
    balance.running = running;
    const double share = balance.late_s > 0 && balance.estimate.known()
                             ? balance.elapsed_s / (balance.elapsed_s + reading_lag_s)
                             : 1;
    balance.seen_m3s += share * (pumped_m3s - balance.seen_m3s);
}

/// Learns how much the flow meter differs from the curves. Only a steady flow counts, because the meter is
/// slower than the pumps. Where a pressure is held, nothing is learned: the vessel lies between the pumps and the
/// meter, so that the meter shows the demand while a pump charges the vessel.
void learn_flow_ratio(Balance& balance, const Sight& sight, double before_m3s, Measured measured) noexcept {
    constexpr double memory_s = 120, far = 0.1, least_share = 0.02;
    const double flow_m3s = balance.pumped_m3s;
    const bool is_steady = flow_m3s > 0 && magnitude(flow_m3s - before_m3s) < least_share * flow_m3s;
    if (!sight.station_flow_known || !is_steady || measured == Measured::header_pressure) return;
    const double ratio = bounded(sight.station_flow_m3s / flow_m3s, 1 - far, 1 + far);
    balance.flow_ratio += std::min(balance.elapsed_s / memory_s, 1.0) * (ratio - balance.flow_ratio);
}

/// The memory of the longest line, in samples. The doubt of the inflow then moves the speed by less than
/// 0.02 Hz. `observer_s` is the least memory. The search begins at `near`, the memory of the second before.
double memory_for(double noise_m3, double m3s_per_hz, double near, const Settings& settings) noexcept {
    constexpr double least = 12, most = 324, calm_hz = 0.02;
    const double floor = std::min(std::max(settings.staging.observer_s, least), most);
    const double doubt_m3s = calm_hz * m3s_per_hz;
    if (!(doubt_m3s > 0)) return floor;
    // The doubt is noise x sqrt(12 / memory^3). Newton's steps find the cube root.
    const double ratio = noise_m3 / doubt_m3s;
    const double cube = bounded(12 * ratio * ratio, 0, most * most * most);
    if (cube <= floor * floor * floor) return floor;
    constexpr int steps_max = 16;  // two are needed while the noise hardly changes
    constexpr double near_enough = 1e-6;
    double memory = bounded(near, floor, most);
    for (int i = 0; i < steps_max; ++i) {
        const double change = (cube / (memory * memory) - memory) / 3;
        memory = std::min(memory + change, most);
        if (magnitude(change) < near_enough) break;
    }
    return bounded(memory, floor, most);
}

/// The least noise of a transmitter that is believed, as a share of its range (common practice: a resolution
/// of 12 bits or better).
double least_noise_m(const Settings& settings) noexcept {
    constexpr double share = 5e-5, never_less_m = 1e-5;
    const TransmitterSettings& level =
        settings.level_transmitter[settings.level_transmitter[0].fitted ? 0 : 1];
    const TransmitterSettings& one =
        settings.measured == Measured::level ? level : settings.pressure_transmitter;
    return std::max(share * magnitude(one.value_at_20ma_m - one.value_at_4ma_m), never_less_m);
}

/// Takes the mean value of the scans since the last balance into the estimate.
void take_value(Balance& balance, const Sight& sight, const FlowTable& flows, double outflow_m3s,
                const Settings& settings) noexcept {
    const double value_m = balance.value_sum_m / static_cast<double>(balance.samples);
    const double volume_m3 = need_volume_m3(settings, value_m);
    balance.noise.take(value_m, least_noise_m(settings));
    const double noise_m = std::max(balance.noise.deviation_m(), least_noise_m(settings));
    const double noise_m3 = noise_m * sight.area_m2;

    balance.last_volume_m3 = volume_m3;
    if (!balance.estimate.known()) return balance.estimate.start_at(volume_m3, outflow_m3s);
    // The reading moved faster than the water can, so the instrument jumped and not the water.
    const double fastest_m3 =
        settings.signal.rate_max_m_s * sight.area_m2 * (balance.elapsed_s + balance.gap_s);
    const double moved_m3 = volume_m3 - balance.estimate.nearest_volume_m3();
    if (magnitude(moved_m3) > fastest_m3 + 6 * noise_m3) balance.estimate.shift(moved_m3);
    balance.memory = memory_for(noise_m3, flows.flow_per_hz(sight.picture.on_line), balance.memory, settings);
    balance.estimate.step({volume_m3, outflow_m3s, noise_m3, balance.elapsed_s}, balance.memory);
}

}  // namespace

void MeasuredNoise::take(double value_m, double least_m) noexcept {
    constexpr double memory = 60, farthest_deviations = 4, second_difference = 6;
    // Before the first reading, ten times the least noise is assumed, as firmly as if four readings showed it.
    constexpr double assumed_share = 10, assumed_weight = 4;
    constexpr int needed = 2;
    if (values_ >= needed) {
        if (!(weight_ > 0)) {
            variance_m2_ = assumed_share * assumed_share * least_m * least_m;
            weight_ = assumed_weight;
        }
        weight_ = std::min(weight_ + 1, memory);
        const double difference_m = value_m - 2 * last_m_ + before_last_m_;
        const double square_m2 = difference_m * difference_m / second_difference;
        const double known_m2 = std::max(variance_m2_, least_m * least_m);
        const double most_m2 = farthest_deviations * farthest_deviations * known_m2;
        variance_m2_ = known_m2 + (std::min(square_m2, most_m2) - known_m2) / weight_;
    }
    before_last_m_ = last_m_;
    last_m_ = value_m;
    if (values_ < needed) ++values_;
}

double MeasuredNoise::deviation_m() const noexcept {
    return std::sqrt(variance_m2_);
}

StoreFlows store_flows(const Balance& balance, const Picture& picture) noexcept {
    const bool drive_feeds = picture.drive_side_closed != 0 && !picture.output_open && !picture.drive_stopped;
    return {picture.contacts_known && (!drive_feeds || picture.drive_hz_known), balance.outflow_m3s,
            balance.inflow_ms != never_ms, balance.inflow_m3s};
}

bool inflow_is_fresh(const Balance& balance, std::int64_t now_ms) noexcept {
    constexpr std::int64_t fresh_ms = 300'000;
    return balance.inflow_ms != never_ms && now_ms - balance.inflow_ms <= fresh_ms;
}

void add_to_balance(Balance& balance, const Sight& sight, double elapsed_s) noexcept {
    balance.elapsed_s += elapsed_s;
    if (sight.measured().quality != Quality::good) {
        balance.gap_s += elapsed_s;
        return;
    }
    balance.value_sum_m += sight.measured().value_m;
    ++balance.samples;
}

void update_balance(Balance& balance, const Sight& sight, const FlowTable& flows, const Settings& settings,
                    Advice& advice) noexcept {
    const double before_m3s = balance.pumped_m3s;
    renew_pumped(balance, sight, flows, settings);
    learn_flow_ratio(balance, sight, before_m3s, settings.measured);
    advice.pumped_m3s = balance.flow_ratio * balance.pumped_m3s;
    if (!(balance.elapsed_s > 0)) return;

    // Water over the weir leaves a well. Over the weir of a tank the tank loses water that pumps must bring.
    const double spilt_m3s = weir_m3s(settings, sight.measured().value_m);
    renew_seen(balance, sight.picture, advice.pumped_m3s);
    const double spilt_out_m3s = settings.action == Action::direct ? spilt_m3s : -spilt_m3s;
    const double outflow_m3s = balance.seen_m3s + spilt_out_m3s;
    balance.outflow_m3s = advice.pumped_m3s + spilt_out_m3s;
    const bool calls = sight.floats.calls;
    const bool stops = sight.floats.stops;
    if (sight.measured().quality == Quality::bad) {
        constexpr double half = 0.5;
        if (calls && !balance.float_called)
            balance.inflow_m3s = std::max(balance.inflow_m3s, advice.pumped_m3s);
        if (stops && !balance.float_stopped)
            balance.inflow_m3s = std::min(balance.inflow_m3s, half * balance.taken_m3s);
    }
    if (!stops) balance.taken_m3s = advice.pumped_m3s;
    balance.float_called = calls;
    balance.float_stopped = stops;
    if (calls) balance.called_ms = sight.picture.time_ms;
    if (balance.samples > 0) {
        take_value(balance, sight, flows, outflow_m3s, settings);
        balance.gap_s = 0;
        balance.inflow_ms = sight.picture.time_ms;
        balance.inflow_m3s = balance.estimate.inflow_m3s();
        balance.doubt_m3s = balance.estimate.doubt_m3s();
    } else {
        balance.noise.interrupt();
        if (balance.gap_s > gap_max_s)
            balance.estimate.forget();
        else
            balance.estimate.carry_over(outflow_m3s, balance.elapsed_s);
    }
    if (balance.estimate.known()) advice.inflow_m3s = balance.estimate.inflow_m3s();
    balance.value_sum_m = balance.elapsed_s = 0;
    balance.samples = 0;
}

}  // namespace freshet::core
