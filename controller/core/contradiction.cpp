// Judging transmitters by the other witnesses; see the header.
#include "controller/core/contradiction.hpp"

#include <algorithm>

#include "controller/core/held.hpp"
#include "controller/core/need.hpp"
#include "controller/core/numbers.hpp"
#include "controller/core/store.hpp"
#include "controller/core/times.hpp"

namespace freshet::core {

namespace {

/// The pumps may deliver more than their curves say. The store's table may be wrong, too.
constexpr double most_flow_ratio = 1.25;
/// A longer pause between two renewals hides what the pumps did.
constexpr double pause_max_s = 10;

const TransmitterRecord& other_of(const SignalRecords& signals, std::size_t i) noexcept {
    return signals.transmitter[1 - i];
}

bool agree(const TransmitterRecord& one, const TransmitterRecord& other, const Settings& settings) noexcept {
    return magnitude(one.value_m - other.value_m) <= settings.signal.disagreement_m;
}

/// Renews the water that is surely left above the stop mark.
void renew_sure_water(WaterWitness& witness, const Floats& floats, LevelSays level, double need_m,
                      const StoreFlows& flows, double elapsed_s, const NeedMarks& marks,
                      const Settings& settings) noexcept {
    const auto above_stop_m3 = [&](double at_need_m) {
        return need_volume_m3(settings, value_of(settings, at_need_m)) -
               need_volume_m3(settings, value_of(settings, marks.stop_m));
    };
    const double drawn_m3 = most_flow_ratio * flows.outflow_m3s * elapsed_s;
    witness.sure_m3 = flows.outflow_known ? std::max(witness.sure_m3 - drawn_m3, 0.0) : 0;
    const bool sign_by_float = floats.calls && !floats.operated;
    const bool sign_by_two = level == LevelSays::two_middle || level == LevelSays::two_high;
    if (sign_by_float) witness.sure_m3 = std::max(witness.sure_m3, above_stop_m3(marks.stage_up_m));
    if (sign_by_two && !floats.operated) witness.sure_m3 = std::max(witness.sure_m3, above_stop_m3(need_m));
}

/// Without inflow the need falls by what the pumps take. A reading that falls further than that, by more than two
/// transmitters may differ, is no water.
void judge_fall(TransmitterRecord& one, const TransmitterRecord& other, const StoreFlows& flows,
                double elapsed_s, std::int64_t now_ms, const Settings& settings) noexcept {
    if (one.quality != Quality::good || !flows.outflow_known) {
        one.least_need_known = false;
        return;
    }
    const double need_m = need_of(settings, one.value_m);
    const double tolerated_m = need_m - settings.signal.disagreement_m;
    const double area_m2 = store_area_m2(settings, one.value_m);
    const double drawn_m = most_flow_ratio * flows.outflow_m3s * elapsed_s / area_m2;
    const bool believed_too = other.quality == Quality::good && agree(one, other, settings);
    if (!one.least_need_known || believed_too)
        one.least_need_m = tolerated_m;
    else
        one.least_need_m = std::max(one.least_need_m - drawn_m, tolerated_m);
    one.least_need_known = true;
    if (need_m < one.least_need_m) contradict(one, Contradiction::fell, Cause::contradicted, now_ms);
}

/// True while a float says otherwise.
bool is_opposed_by_float(const Floats& floats, double need_m, const NeedMarks& marks,
                         const Settings& settings) noexcept {
    return (floats.operated && need_m > marks.stop_m) ||
           (floats.calls && need_m < marks.stage_up_m - settings.signal.disagreement_m);
}

/// True when a witness named in the row of the contradiction clears the transmitter.
bool is_cleared(const TransmitterRecord& one, const TransmitterRecord& other, const WaterWitness& witness,
                const Floats& floats, bool inflow_known, std::int64_t now_ms, const NeedMarks& marks,
                const Settings& settings) noexcept {
    if (one.believed_ms == never_ms) return false;
    const ContradictionRow& row = contradictions[static_cast<std::size_t>(one.contradiction)];
    const double need_m = need_of(settings, one.value_m);
    const std::int64_t lasted_ms = now_ms - one.contradicted_ms;
    // Two transmitters that jumped to the same value confirm each other.
    const bool jumped_together = one.contradiction == Contradiction::jumped &&
                                 other.contradiction == Contradiction::jumped &&
                                 other.believed_ms != never_ms;
    if (row.by_other && (other.quality == Quality::good || jumped_together) && agree(one, other, settings))
        return true;
    // A good transmitter that says otherwise is a better witness than the balance or time. Only a float that sides
    // with this transmitter against the other outweighs the other.
    const bool opposed = other.quality == Quality::good && !agree(one, other, settings);
    const double other_need_m = need_of(settings, other.value_m);
    const bool calls_for_one = need_m >= marks.stage_up_m && !(opposed && other_need_m >= marks.stage_up_m);
    if (row.by_calling_float && floats.calls && calls_for_one) return true;
    const bool stops_for_one = need_m <= marks.stop_m && !(opposed && other_need_m <= marks.stop_m);
    if (row.by_stopping_float && floats.operated && stops_for_one) return true;
    if (opposed) return false;
    constexpr double expectation_doubles_ms = 600'000;
    const double expected_m = need_of(settings, one.before_m) + witness.foretold_m - one.foretold_before_m;
    const double tolerance_m =
        settings.signal.disagreement_m * (1 + static_cast<double>(lasted_ms) / expectation_doubles_ms);
    if (row.by_balance && inflow_known && magnitude(need_m - expected_m) <= tolerance_m) return true;
    return row.by_time && !is_opposed_by_float(floats, need_m, marks, settings) &&
           lasted_ms >= (settings.floats.fitted ? plausible_alone_ms_with_floats : plausible_alone_ms);
}

/// The float that stopped pumps against the transmitters returned while every pump was stopped. So the float
/// works, and each transmitter that still shows more than the stop mark is wrong. A short operation may be a
/// loose wire of the float, so a short operation counts only when it is the second within an hour.
void judge_by_float(WaterWitness& witness, SignalRecords& signals, const Floats& floats,
                    const Picture& picture, const NeedMarks& marks, const Settings& settings) noexcept {
    constexpr std::int64_t long_ms = 20'000, memory_ms = 3'600'000;
    const std::int64_t now_ms = picture.time_ms;
    const bool against = floats.vote == Vote::float_stops_against_level;
    const bool was_against = witness.float_against_ms != never_ms;
    if (was_against && picture.floats_known && !floats.operated) {
        const bool lasted = held_ms(witness.float_against_ms, now_ms) >= long_ms;
        const bool again = now_ms - witness.float_returned_ms < memory_ms;
        witness.float_returned_ms = now_ms;
        for (TransmitterRecord& one : signals.transmitter)
            if ((lasted || again) && one.quality == Quality::good &&
                need_of(settings, one.value_m) > marks.stop_m)
                contradict(one, Contradiction::by_float, Cause::contradicted, now_ms);
    }
    track_since(witness.float_against_ms, against, now_ms);
}

/// The float that called against one transmitter returned for the second time within an hour. So the float works,
/// and the transmitter shows too little.
void judge_by_call(WaterWitness& witness, SignalRecords& signals, const Floats& floats,
                   const Picture& picture, const NeedMarks& marks, const Settings& settings) noexcept {
    constexpr std::int64_t memory_ms = 3'600'000;
    const std::int64_t now_ms = picture.time_ms;
    const bool one = signals.measured.usable < 2 || signals.measured.disagree;
    const bool against = floats.vote == Vote::float_calls_against_level && one;
    if (witness.call_against_ms != never_ms && picture.floats_known && !floats.called) {
        const bool again = now_ms - witness.call_returned_ms < memory_ms;
        witness.call_returned_ms = now_ms;
        const double least_m = marks.stage_up_m - settings.signal.disagreement_m;
        for (TransmitterRecord& record : signals.transmitter)
            if (again && record.quality == Quality::good && need_of(settings, record.value_m) < least_m)
                contradict(record, Contradiction::below_float, Cause::contradicted, now_ms);
    }
    track_since(witness.call_against_ms, against, now_ms);
}

/// Both floats cannot operate at once. The float that the transmitters contradict is not believed until the float
/// returns.
void judge_floats(WaterWitness& witness, const Floats& floats, LevelSays level,
                  const Picture& picture) noexcept {
    const bool both = floats.called && floats.operated;
    const bool high = level == LevelSays::one_high || level == LevelSays::two_high;
    const bool two_low = level == LevelSays::two_low;
    if (both && high) witness.stop_disproved = true;
    if (floats.called && (two_low || (both && level == LevelSays::one_low))) witness.call_disproved = true;
    if (picture.floats_known && !floats.operated) witness.stop_disproved = false;
    if (picture.floats_known && !floats.called) witness.call_disproved = false;
}

/// Renews the need that the balance expects.
void renew_reckoning(WaterWitness& witness, const MeasuredValue& measured, double need_m,
                     const Floats& floats, double change_m, const NeedMarks& marks,
                     const Settings& settings) noexcept {
    witness.reckoned_need_m += change_m;
    if (!floats.calls)
        witness.call_unforeseen = witness.reckoned_need_m < marks.stage_up_m - settings.signal.disagreement_m;
    if (floats.operated && !witness.stop_disproved) witness.reckoned_need_m = marks.stop_m;
    if (floats.calls) witness.reckoned_need_m = std::max(witness.reckoned_need_m, marks.stage_up_m);
    if (measured.quality == Quality::good) witness.reckoned_need_m = need_m;
}

}  // namespace

void judge_contradictions(WaterWitness& witness, SignalRecords& signals, const Floats& floats,
                          const Picture& picture, double need_m, const StoreFlows& flows,
                          const NeedMarks& marks, const Settings& settings) noexcept {
    if (settings.measured != Measured::level) return;
    const std::int64_t now_ms = picture.time_ms;
    const double elapsed_s = witness.renewed_ms == never_ms ? 0 : seconds_of(now_ms - witness.renewed_ms);
    witness.renewed_ms = now_ms;
    StoreFlows known = flows;
    known.outflow_known = flows.outflow_known && elapsed_s <= pause_max_s;
    const LevelSays level = level_says(signals.measured, need_m, marks);
    renew_sure_water(witness, floats, level, need_m, known, elapsed_s, marks, settings);
    const double area_m2 = store_area_m2(settings, signals.measured.value_m);
    const double change_m =
        flows.inflow_known ? elapsed_s * (flows.inflow_m3s - flows.outflow_m3s) / area_m2 : 0;
    witness.foretold_m += change_m;
    judge_floats(witness, floats, level, picture);
    renew_reckoning(witness, signals.measured, need_m, floats, change_m, marks, settings);
    judge_by_float(witness, signals, floats, picture, marks, settings);
    judge_by_call(witness, signals, floats, picture, marks, settings);
    for (std::size_t i = 0; i < signals.transmitter.size(); ++i) {
        TransmitterRecord& one = signals.transmitter[i];
        const TransmitterRecord& other = other_of(signals, i);
        if (!is_contradicted(one)) {
            judge_fall(one, other, known, elapsed_s, now_ms, settings);
            if (!is_contradicted(one)) one.foretold_before_m = witness.foretold_m;
        } else if (is_cleared(one, other, witness, floats, flows.inflow_known, now_ms, marks, settings)) {
            one.contradiction = Contradiction::none;
        }
    }
}

}  // namespace freshet::core
