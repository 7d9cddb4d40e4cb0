// Comparing pumps with their curves; see the header.
#include "controller/core/delivery.hpp"

#include <algorithm>
#include <limits>

#include "controller/core/alarms.hpp"
#include "controller/core/held.hpp"
#include "controller/core/numbers.hpp"
#include "controller/core/pump_current.hpp"

namespace freshet::core {

namespace {

constexpr double not_measured = std::numeric_limits<double>::quiet_NaN();

/// What one witness says of one pump.
enum class Says : std::uint8_t { nothing, delivers, fails };

/// The share of the way from no flow to the curve's flow. Between the two shares a witness says nothing.
constexpr double fails_below = 0.35, delivers_above = 0.65;

/// The steady combination that a comparison rests on.
struct Compared {
    Delivery by_curve;
    std::size_t line_pumps = 0;
    double drive_hz = 0, drive_ratio = 0, value_m = 0;
    bool meter_speaks = false;
    double meter_m3s = not_measured;
    std::array<Says, pumps_max> by_current{}, by_meter{};

    double missing_m3s() const noexcept { return by_curve.total_m3s - meter_m3s; }
};

PumpMask mask_of(const SequencerState& sequencer, PumpAlarm alarm) noexcept {
    PumpMask mask = 0;
    for (std::size_t pump = 0; pump < pumps_max; ++pump)
        if ((sequencer.latched_pump[pump] & alarm_bit(alarm)) != 0)
            mask = static_cast<PumpMask>(mask | bit_of(pump));
    return mask;
}
void set_latch(SequencerState& sequencer, std::size_t pump, PumpAlarm alarm, bool on) noexcept {
    std::uint16_t& word = sequencer.latched_pump[pump];
    word = static_cast<std::uint16_t>(on ? word | alarm_bit(alarm) : word & ~alarm_bit(alarm));
}
PumpMask with(PumpMask mask, std::size_t pump) noexcept {
    return static_cast<PumpMask>(mask | bit_of(pump));
}
/// True for exactly one pump.
bool is_one(PumpMask mask) noexcept {
    return mask != 0 && (mask & (mask - 1)) == 0;
}

/// The pumps that the line or the drive feeds. A drive without a known speed feeds none that could be judged.
PumpMask fed_pumps(const Picture& picture) noexcept {
    const bool drive_feeds = picture.output_closed && picture.drive_running && picture.drive_hz_known;
    const auto on_drive = static_cast<PumpMask>(picture.drive_side_closed & ~picture.line_side_closed);
    return static_cast<PumpMask>(picture.line_side_closed | (drive_feeds ? on_drive : PumpMask{0}));
}
/// True while contactors move, the supply is off its frequency, or a contact shows a pump running that
/// neither the controller nor people at the pump run. The flows then follow no curve that is known.
bool is_disturbed(const SequencerState& sequencer, const Picture& picture, PumpMask running,
                  const Settings& settings) noexcept {
    constexpr double off_ratio = 0.01;
    const double off_hz = magnitude(picture.line_hz - settings.drive.line_frequency_hz);
    bool disturbed = sequencer.main.step != Step::idle || !picture.contacts_known || picture.line_poor ||
                     off_hz > off_ratio * settings.drive.line_frequency_hz;
    for (const Run& run : sequencer.line_run) disturbed |= run.step != Step::idle;
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
        disturbed |= has(running, pump) && is_idle(sequencer.pumps[pump].state) && !has(picture.hand, pump);
    return disturbed;
}

/// Renews the memory of the flow meter. True when the reading may be compared: a reading that stays the same
/// while the flow by the curves changes is frozen, and no flow is believed only of a meter that has shown
/// flow before.
bool renew_meter(DeliveryWatch& watch, const Sight& sight, double by_curve_m3s,
                 double one_pump_m3s) noexcept {
    if (!sight.station_flow_known) return false;
    constexpr double moved_share = 0.05, proven_share = 0.2, nothing_share = 0.02;
    const double flow_m3s = sight.station_flow_m3s;
    if (flow_m3s != watch.meter_m3s) watch.meter_by_curve_m3s = by_curve_m3s;
    watch.meter_m3s = flow_m3s;
    watch.meter_proven = watch.meter_proven || flow_m3s > proven_share * one_pump_m3s;
    if (flow_m3s <= nothing_share * one_pump_m3s) return watch.meter_proven;
    return magnitude(by_curve_m3s - watch.meter_by_curve_m3s) <= moved_share * by_curve_m3s;
}

/// What the current says of a running pump.
Says current_says(PumpDelivery& of, const Analog& reading, double flow_m3s, double ratio,
                  const Settings& settings) noexcept {
    constexpr double difference_least = 0.12, overload = 1.3;
    const bool known = reading.quality != Quality::bad && reading.age_ms <= settings.signal.stale_ms &&
                       reading.value == reading.value;
    of.current_a = known && current_is_given(settings) ? reading.value : not_measured;
    of.expected_a = current_is_given(settings) ? motor_current_a(settings, flow_m3s, ratio) : not_measured;
    if (!(of.current_a == of.current_a)) return Says::nothing;
    const double without_flow_a = motor_current_a(settings, 0, ratio);
    const double difference_a = of.expected_a - without_flow_a;
    if (difference_a < difference_least * of.expected_a || of.current_a > overload * of.expected_a)
        return Says::nothing;
    const double share = (of.current_a - without_flow_a) / difference_a;
    return share < fails_below ? Says::fails : share > delivers_above ? Says::delivers : Says::nothing;
}

/// Flow of the running pumps without those of `left_out`, by the curves, m3/s.
double flow_without_m3s(const Compared& now, const Picture& picture, const FlowTable& flows,
                        PumpMask left_out) noexcept {
    const auto on_line = static_cast<PumpMask>(picture.line_side_closed & ~left_out);
    const bool drive_pump_left_out = (left_out & ~picture.line_side_closed) != 0;
    return flows.total_m3s(count_of(on_line), drive_pump_left_out ? 0 : now.drive_hz, now.value_m);
}

/// The meter shows the flow of all pumps of `which`, so that they deliver.
void meter_proves(DeliveryWatch& watch, Compared& now, const Picture& picture, PumpMask which) noexcept {
    watch.proven = static_cast<PumpMask>(watch.proven | which);
    watch.shut = static_cast<PumpMask>(watch.shut | (picture.drive_side_open & picture.line_side_open));
    for (std::size_t pump = 0; pump < pumps_max; ++pump)
        if (has(which, pump)) now.by_meter[pump] = Says::delivers;
}

/// What the flow meter says of the running pumps. `known` are pumps that are known not to deliver.
void meter_says(DeliveryWatch& watch, Compared& now, const Picture& picture, const FlowTable& flows,
                PumpMask known) noexcept {
    constexpr double good_share = 0.3, gain_least = 0.1, gone_share = 0.5;
    const double total_m3s = now.by_curve.total_m3s;
    const auto gain_m3s = [&](PumpMask left_out, std::size_t pump) {
        return flow_without_m3s(now, picture, flows, left_out) -
               flow_without_m3s(now, picture, flows, with(left_out, pump));
    };
    // First the thought that every pump delivers, then the thought that the known pumps do not.
    double expected_m3s = total_m3s;
    PumpMask left_out = 0;
    for (const bool without_known : {false, true}) {
        left_out = without_known ? static_cast<PumpMask>(known & watch.running) : PumpMask{0};
        if (without_known && left_out == 0) break;
        expected_m3s = flow_without_m3s(now, picture, flows, left_out);
        double least_gain_m3s = total_m3s;
        for (std::size_t pump = 0; pump < pumps_max; ++pump)
            if (has(static_cast<PumpMask>(watch.running & ~left_out), pump))
                least_gain_m3s = std::min(least_gain_m3s, gain_m3s(left_out, pump));
        if (expected_m3s - now.meter_m3s > good_share * least_gain_m3s) continue;
        meter_proves(watch, now, picture, static_cast<PumpMask>(watch.running & ~left_out));
        for (std::size_t pump = 0; pump < pumps_max; ++pump)
            if (has(left_out, pump)) now.by_meter[pump] = Says::fails;
        return;
    }

    // The missing flow belongs to pumps without flow by their current, or to the only pump not yet proven.
    // The flow that came with the last start shows whether the pump that started delivers.
    const double missing_m3s = expected_m3s - now.meter_m3s;
    const auto others = static_cast<PumpMask>(watch.running & ~left_out);
    PumpMask suspects = 0, came = 0, stayed_out = 0;
    for (std::size_t pump = 0; pump < pumps_max; ++pump) {
        if (!has(others, pump)) continue;
        const double came_share = (now.meter_m3s - watch.meter_before_m3s) / gain_m3s(left_out, pump);
        if (watch.joined == bit_of(pump) && came_share > delivers_above) came = watch.joined;
        if (watch.joined == bit_of(pump) && came_share < fails_below) stayed_out = watch.joined;
        const bool cleared =
            has(static_cast<PumpMask>(watch.proven | came), pump) || now.by_current[pump] == Says::delivers;
        if (!cleared || others == bit_of(pump)) suspects = with(suspects, pump);
    }
    if (stayed_out != 0 && (watch.proven & stayed_out) == 0) suspects = stayed_out;
    for (std::size_t pump = 0; pump < pumps_max; ++pump) {
        if (!has(others, pump)) continue;
        const double gain = gain_m3s(left_out, pump);
        const bool only = suspects == bit_of(pump) && missing_m3s > (1 - fails_below) * gain;
        const bool by_current = now.by_current[pump] == Says::fails && missing_m3s >= gone_share * gain;
        if (gain >= gain_least * total_m3s && (only || by_current)) now.by_meter[pump] = Says::fails;
    }
    // Any of these pumps may have failed while it ran, so that none is proven until the flow is whole again,
    // unless the pump that started last explains what is missing.
    if (suspects != stayed_out || suspects == 0) watch.proven = static_cast<PumpMask>(watch.proven & ~others);
}

/// The pump alone runs below its minimum flow, although its curve gives more.
bool below_minimum(const Compared& now, double expected_m3s, double ratio,
                   const Settings& settings) noexcept {
    constexpr double surely = 0.7, nearly = 0.95;
    const double least_m3s = settings.minimum_flow_m3s * ratio;
    return now.meter_speaks && expected_m3s >= nearly * least_m3s && now.meter_m3s < surely * least_m3s;
}

/// The time between two comparisons. A pump that does not deliver must be seen for longer than this, and a
/// comparison reads the table several times.
constexpr std::int64_t period_ms = 5000;

/// Keeps the mean share of flow that a pump running alone has lost.
void renew_loss(DeliveryWatch& watch, std::size_t pump, const Compared& now, double ratio,
                const Settings& settings) noexcept {
    constexpr double memory_s = 600, well_past_minimum = 1.3, most = 0.4, back_share = 0.7;
    PumpDelivery& of = watch.pumps[pump];
    const double lost = now.missing_m3s() / of.expected_m3s;
    const bool judged = now.meter_speaks && now.by_current[pump] != Says::fails && lost < most &&
                        of.expected_m3s > well_past_minimum * settings.minimum_flow_m3s * ratio;
    if (!judged) return;
    constexpr double period_s = 5;
    of.judged_s = std::min(of.judged_s + period_s, memory_s);
    of.lost_ratio += (lost - of.lost_ratio) * (period_s / of.judged_s);
    const double most_ratio = settings.delivery.lost_max_ratio;
    if (of.judged_s >= memory_s && of.lost_ratio > most_ratio) watch.lost = with(watch.lost, pump);
    if (of.lost_ratio < back_share * most_ratio)
        watch.lost = static_cast<PumpMask>(watch.lost & ~bit_of(pump));
}

/// Judges one running pump and latches or clears its alarm.
void judge_pump(DeliveryWatch& watch, SequencerState& sequencer, std::size_t pump, const Compared& now,
                double ratio, std::int64_t now_ms, const Settings& settings) noexcept {
    constexpr std::int64_t below_minimum_times = 5;
    PumpDelivery& of = watch.pumps[pump];
    const Says current = now.by_current[pump], meter = now.by_meter[pump];
    const bool alone = is_one(watch.running);
    const bool current_reads = of.current_a == of.current_a;
    const bool one_witness = !current_reads && settings.measured == Measured::level;
    const bool by_meter = meter == Says::fails && (current == Says::fails || one_witness);
    const bool by_current = !now.meter_speaks && current == Says::fails;
    const bool too_little =
        alone && current != Says::delivers && below_minimum(now, of.expected_m3s, ratio, settings);
    const bool delivers =
        meter == Says::delivers ? current != Says::fails : !now.meter_speaks && current == Says::delivers;
    const std::int64_t hold_ms = settings.delivery.hold_ms;
    const bool fails = held_for(of.fails_ms, by_meter || by_current, hold_ms, now_ms);
    const bool is_below_minimum =
        held_for(of.below_minimum_ms, too_little, below_minimum_times * hold_ms, now_ms);
    if (fails || is_below_minimum) set_latch(sequencer, pump, PumpAlarm::no_delivery, true);
    if (!held_for(of.delivers_ms, delivers, hold_ms, now_ms)) return;
    if (!has(without_delivery(sequencer), pump)) return;
    set_latch(sequencer, pump, PumpAlarm::no_delivery, false);
    sequencer.pumps[pump].attempts = 0;
}

/// Judges whether water runs back through pumps at rest.
void judge_back(DeliveryWatch& watch, SequencerState& sequencer, const Compared& now, const Picture& picture,
                const DeliveryView& at) noexcept {
    constexpr double missing_least = 0.35;
    // A pump whose current says nothing may be the cause itself, with all of its flow.
    double missing_m3s = now.missing_m3s();
    bool one_delivers = false, one_fails = false;
    for (std::size_t pump = 0; pump < pumps_max; ++pump) {
        if (!has(watch.running, pump)) continue;
        one_delivers = one_delivers || now.by_current[pump] == Says::delivers;
        one_fails = one_fails || now.by_current[pump] == Says::fails;
        if (now.by_current[pump] == Says::nothing) missing_m3s -= watch.pumps[pump].expected_m3s;
    }
    const double one_pump_m3s = at.flows.total_m3s(1, 0, now.value_m);
    const bool back =
        now.meter_speaks && one_delivers && !one_fails && missing_m3s > missing_least * one_pump_m3s;
    const auto at_rest = static_cast<PumpMask>(picture.drive_side_open & picture.line_side_open);
    if (held_for(watch.back_ms, back, at.settings.delivery.hold_ms, picture.time_ms)) {
        const PumpMask latched = mask_of(sequencer, PumpAlarm::flow_back);
        const auto open = static_cast<PumpMask>(at_rest & ~watch.shut);
        const PumpMask first = open != 0 ? open : at_rest;
        const PumpMask still = (first & latched) != 0 ? static_cast<PumpMask>(first & latched) : first;
        watch.back_flow_m3s = now.meter_m3s;
        watch.back_expected_m3s = now.by_curve.total_m3s;
        for (std::size_t pump = 0; pump < at.settings.pump_count; ++pump)
            set_latch(sequencer, pump, PumpAlarm::flow_back, has(still, pump));
        return;
    }
    const auto in_order = static_cast<PumpMask>(at_rest & watch.shut);
    for (std::size_t pump = 0; pump < at.settings.pump_count; ++pump)
        if (has(in_order, pump) && !back) set_latch(sequencer, pump, PumpAlarm::flow_back, false);
}

/// Nobody knows what held in a second that is not compared, so every holding time begins again.
void forget_holding(DeliveryWatch& watch) noexcept {
    watch.back_ms = never_ms;
    for (PumpDelivery& of : watch.pumps) of.fails_ms = of.below_minimum_ms = of.delivers_ms = never_ms;
}

/// Begins again after the combination changed or while contactors move.
void begin_again(DeliveryWatch& watch, PumpMask running, std::int64_t now_ms) noexcept {
    if (running != watch.running) {
        const auto joined = static_cast<PumpMask>(running & ~watch.running);
        const bool one_joined = (watch.running & ~running) == 0 && is_one(joined);
        watch.joined = one_joined && watch.meter_m3s >= 0 ? joined : PumpMask{0};
        watch.meter_before_m3s = watch.meter_m3s;
    }
    watch.running = running;
    watch.since_ms = now_ms;
    watch.proven = static_cast<PumpMask>(watch.proven & running);
    watch.shut = static_cast<PumpMask>(watch.shut & ~running);
}

}  // namespace

PumpMask without_delivery(const SequencerState& sequencer) noexcept {
    return mask_of(sequencer, PumpAlarm::no_delivery);
}

PumpMask doubtful_delivery(const SequencerState& sequencer) noexcept {
    return static_cast<PumpMask>(without_delivery(sequencer) | mask_of(sequencer, PumpAlarm::flow_back));
}

namespace {

/// The steady combination now, with what the meter says of its total. False: nothing can be compared.
bool is_comparable(DeliveryWatch& watch, Compared& now, const DeliveryView& at) noexcept {
    constexpr std::int64_t settle_ms = 30'000;
    constexpr double steady_share = 0.03, contradicts = 1.2, sure_deviations = 3;
    const Picture& picture = at.sight.picture;
    now.value_m = at.sight.measured().value_m;
    const PumpMask running = watch.running;
    now.line_pumps = picture.on_line;
    now.drive_hz = running != picture.line_side_closed ? picture.drive_hz : 0;
    now.drive_ratio = at.flows.speed_ratio_of(now.drive_hz);
    now.by_curve = at.flows.delivery(now.line_pumps, now.drive_hz, now.value_m);
    const double total_m3s = now.by_curve.total_m3s;
    const double one_pump_m3s = at.flows.total_m3s(1, 0, now.value_m);
    const bool meter_is_whole = renew_meter(watch, at.sight, total_m3s, one_pump_m3s);
    if (running == 0 || picture.time_ms - watch.since_ms < settle_ms ||
        at.sight.measured().quality != Quality::good)
        return false;
    const double pumped_m3s = at.balance.pumped_m3s;
    if (!(total_m3s > 0) || magnitude(pumped_m3s - total_m3s) > steady_share * total_m3s) return false;

    // Where the store loses more water than the meter shows, the meter is wrong and the pumps deliver.
    const InflowEstimate& estimate = at.balance.estimate;
    const double drawn_m3s = estimate.known() ? at.balance.flow_ratio * pumped_m3s - estimate.inflow_m3s() -
                                                    sure_deviations * estimate.doubt_m3s()
                                              : 0;
    if (meter_is_whole) now.meter_m3s = at.sight.station_flow_m3s;
    now.meter_speaks =
        meter_is_whole && now.meter_m3s < contradicts * total_m3s && drawn_m3s <= now.meter_m3s;
    if (at.settings.measured == Measured::level)
        return now.meter_speaks || drawn_m3s < fails_below * total_m3s;
    // The curve's flow rests on the measured pressure, and the vessel serves the demand, too. So only a
    // station without any flow is compared.
    constexpr double nothing_share = 0.05;
    return now.meter_speaks && now.meter_m3s < nothing_share * total_m3s;
}

}  // namespace

void watch_delivery(DeliveryWatch& watch, SequencerState& sequencer, const DeliveryView& at) noexcept {
    const Picture& picture = at.sight.picture;
    const PumpMask running = fed_pumps(picture);
    if (running != watch.running || is_disturbed(sequencer, picture, running, at.settings))
        begin_again(watch, running, picture.time_ms);
    if (watch.next_ms != never_ms && picture.time_ms < watch.next_ms) return;
    watch.next_ms = picture.time_ms + period_ms;
    Compared now;
    if (!is_comparable(watch, now, at)) return forget_holding(watch);
    const auto ratio_of = [&](std::size_t pump) {
        return has(picture.line_side_closed, pump) ? 1 : now.drive_ratio;
    };
    for (std::size_t pump = 0; pump < at.settings.pump_count; ++pump) {
        if (!has(watch.running, pump)) continue;
        PumpDelivery& of = watch.pumps[pump];
        of.expected_m3s =
            has(picture.line_side_closed, pump) ? now.by_curve.line_pump_m3s : now.by_curve.drive_pump_m3s;
        now.by_current[pump] =
            current_says(of, at.inputs.pumps[pump].current_a, of.expected_m3s, ratio_of(pump), at.settings);
        // With several pumps running, the flow of one pump is its curve's less everything that is missing.
        of.flow_m3s = now.meter_speaks ? std::max(of.expected_m3s - now.missing_m3s(), 0.0) : not_measured;
    }
    if (now.meter_speaks) meter_says(watch, now, picture, at.flows, without_delivery(sequencer));
    for (std::size_t pump = 0; pump < at.settings.pump_count; ++pump) {
        if (!has(watch.running, pump)) continue;
        judge_pump(watch, sequencer, pump, now, ratio_of(pump), picture.time_ms, at.settings);
        if (watch.running == bit_of(pump)) renew_loss(watch, pump, now, ratio_of(pump), at.settings);
    }
    if (at.settings.measured == Measured::level) judge_back(watch, sequencer, now, picture, at);
}

}  // namespace freshet::core
