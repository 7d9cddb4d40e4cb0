// Judging transmitters; see the header.
#include "controller/core/signals.hpp"

#include <algorithm>
#include <limits>

#include "controller/core/held.hpp"
#include "controller/core/numbers.hpp"
#include "controller/core/times.hpp"

namespace freshet::core {

namespace {

bool is_by_loop(const Transmitter& seen) noexcept {
    return seen.loop_ma == seen.loop_ma;
}

struct Verdict {
    Quality quality = Quality::good;
    Cause cause = Cause::none;
};

/// The verdict on a loop from its current alone.
Verdict verdict_of_loop(double loop_ma) noexcept {
    if (!(loop_ma > loop_failure_low_ma)) return {Quality::bad, Cause::under_range};
    if (!(loop_ma < loop_failure_high_ma)) return {Quality::bad, Cause::over_range};
    if (loop_ma < loop_measuring_min_ma) return {Quality::uncertain, Cause::under_range};
    if (loop_ma > loop_measuring_max_ma) return {Quality::uncertain, Cause::over_range};
    return {};
}

/// The verdict on a value that the site gives in metres, from the value alone. A loop current saturates at
/// the ends of its range and stays usable there. A value in metres does not saturate, so the value stays
/// usable up to one span beyond either end of the range.
Verdict verdict_of_value(double value_m, const TransmitterSettings& range) noexcept {
    const double equivalent_ma = loop_of_value(value_m, range);
    if (equivalent_ma != equivalent_ma) return {Quality::bad, Cause::undecodable};
    if (equivalent_ma >= loop_measuring_min_ma && equivalent_ma <= loop_measuring_max_ma) return {};
    constexpr double middle_ma = 12, usable_from_middle_ma = 8 + 16;  // one span beyond either end
    const bool rises_with_current = range.value_at_20ma_m > range.value_at_4ma_m;
    const bool above = (equivalent_ma > middle_ma) == rises_with_current;
    const bool near = magnitude(equivalent_ma - middle_ma) <= usable_from_middle_ma;
    return {near ? Quality::uncertain : Quality::bad, above ? Cause::over_range : Cause::under_range};
}

/// True when the reading has not changed for too long.
bool is_frozen(const TransmitterRecord& record, std::int64_t now_ms) noexcept {
    return record.frozen_after_ms > 0 && now_ms - record.changed_ms > record.frozen_after_ms;
}

/// True when the reading is near an end of the transmitter's range, where a sound reading may stand still.
bool is_near_an_end(double value_m, const TransmitterSettings& range) noexcept {
    constexpr double near_ma = 0.16, low_ma = 4, high_ma = 20;  // a hundredth of the range
    const double equivalent_ma = loop_of_value(value_m, range);
    return !(equivalent_ma > low_ma + near_ma && equivalent_ma < high_ma - near_ma);
}

/// Learns from a change of the reading when the reading is frozen. Noise turns the reading up and down by changes of
/// many sizes. A reading with such noise that then stays the same for many times the longest pause is frozen, as an
/// operator sees that the needle does not move any more. A reading that only moves and stops proves no noise, nor does a
/// reading that changes to and fro between two steps of its resolution.
void learn_noise(TransmitterRecord& record, double raw, double value_m, const TransmitterSettings& range,
                 const Settings::SignalLimits& limits, std::int64_t now_ms) noexcept {
    constexpr std::int16_t turns_needed = 200;
    constexpr std::int64_t pauses = 20, least_ms = 10'000, memory = 4096;
    constexpr double other_size = 1.1;
    const std::int64_t still_ms = record.changed_ms == never_ms ? 0 : now_ms - record.changed_ms;
    const std::int64_t faded_ms = record.still_longest_ms - record.still_longest_ms / memory;
    // The first pauses may come from the start of the transmitter.
    record.still_longest_ms = record.turns < turns_needed / 2 ? still_ms : std::max(faded_ms, still_ms);
    const double step = magnitude(raw - record.last_seen);
    const bool rises = raw > record.last_seen;
    const bool varies = step > other_size * record.last_step || record.last_step > other_size * step;
    if (rises != record.rose && varies && record.turns < turns_needed) ++record.turns;
    record.rose = rises;
    record.last_step = step;
    record.frozen_after_ms = limits.freeze_ms;
    if (record.turns < turns_needed || is_near_an_end(value_m, range)) return;
    const std::int64_t learned_ms = std::max(pauses * record.still_longest_ms, least_ms);
    record.frozen_after_ms = std::min(record.frozen_after_ms, learned_ms);
}

/// The verdict on the reading of this scan, before any holding time.
Verdict verdict_of(const TransmitterRecord& record, const Transmitter& seen, double value_m,
                   const TransmitterSettings& range, const Settings::SignalLimits& limits,
                   std::int64_t now_ms) noexcept {
    const Verdict of_itself =
        is_by_loop(seen) ? verdict_of_loop(seen.loop_ma) : verdict_of_value(value_m, range);
    if (of_itself.quality == Quality::bad) return of_itself;
    if (is_frozen(record, now_ms)) return {Quality::bad, Cause::frozen};
    if (record.believed_ms != never_ms) {
        // Since the last believed value, the water may have moved at the greatest rate. Two transmitters may
        // also differ. A change beyond both is implausible.
        const double elapsed_s = seconds_of(now_ms - record.believed_ms);
        if (magnitude(value_m - record.value_m) > limits.disagreement_m + limits.rate_max_m_s * elapsed_s)
            return {Quality::bad, Cause::implausible_rate};
    }
    if (of_itself.quality != Quality::good) return of_itself;
    const bool good = seen.reading.quality == Quality::good;
    return {seen.reading.quality, good ? Cause::none : seen.reading.cause};
}

/// True while an older value replaces a reading that is not believed and not yet bad.
bool is_held(const TransmitterRecord& record) noexcept {
    return record.quality == Quality::uncertain && record.doubtful_since_ms != never_ms;
}

/// Accepts the reading of this scan.
void believe(TransmitterRecord& record, double value_m, Verdict verdict, std::int64_t now_ms) noexcept {
    record.value_m = value_m;
    record.believed_ms = now_ms;
    record.doubtful_since_ms = never_ms;
    record.quality = verdict.quality;
    record.cause = verdict.cause;
}

/// Marks the transmitter bad, because its reading failed or is too old. The last believed value then no
/// longer limits the next reading.
void mark_bad(TransmitterRecord& record, Cause cause) noexcept {
    record.quality = Quality::bad;
    record.cause = cause != Cause::none ? cause : Cause::stale;
    record.good_since_ms = never_ms;
    record.doubtful_since_ms = never_ms;
    record.changed_ms = never_ms;
    record.believed_ms = never_ms;
    record.contradiction = Contradiction::none;
    record.least_need_known = false;
}

/// Does not believe the reading. The transmitter is uncertain at first, and bad when the doubt has lasted for
/// fault_hold_ms.
void doubt(TransmitterRecord& record, Cause cause, const Settings::SignalLimits& limits,
           std::int64_t now_ms) noexcept {
    record.good_since_ms = never_ms;
    const bool persists = held_for(record.doubtful_since_ms, true, limits.fault_hold_ms, now_ms);
    record.cause = cause;
    if (record.quality != Quality::bad && !persists) {
        record.quality = Quality::uncertain;
        return;
    }
    record.quality = Quality::bad;
    // A new value that stays may be true after all, but another witness must confirm the value.
    if (cause == Cause::implausible_rate && persists)
        contradict(record, Contradiction::jumped, Cause::implausible_rate, now_ms);
}

/// Follows the reading of a transmitter that another witness contradicts, without believing the reading. A loop
/// that fails starts afresh when the loop returns, because people may have repaired the transmitter.
void follow_contradicted(TransmitterRecord& record, double value_m, Verdict verdict,
                         std::int64_t now_ms) noexcept {
    const bool still_measures = verdict.cause == Cause::implausible_rate || verdict.cause == Cause::frozen;
    if (verdict.quality == Quality::bad && !still_measures) return mark_bad(record, verdict.cause);
    if (verdict.quality == Quality::bad) record.contradicted_ms = now_ms;
    record.value_m = value_m;
    record.believed_ms = now_ms;
}

/// True while a plausible reading is not believed yet. A bad transmitter must stay plausible for recover_ms,
/// except at its first reading ever. Some erratic readings look plausible by chance. So a doubtful
/// transmitter must stay plausible for fault_hold_ms.
bool must_prove_itself(TransmitterRecord& record, const Settings::SignalLimits& limits,
                       std::int64_t now_ms) noexcept {
    if (record.quality == Quality::bad) {
        const bool recovered = held_for(record.good_since_ms, true, limits.recover_ms, now_ms);
        if (record.cause != Cause::never_read && !recovered) return true;
    }
    return is_held(record) && !held_for(record.good_since_ms, true, limits.fault_hold_ms, now_ms);
}

/// The reading of this scan, as the site gives it: a loop current, mA, or a value, m.
double raw_of(const Transmitter& seen) noexcept {
    return is_by_loop(seen) ? seen.loop_ma : seen.reading.value;
}

/// True when the transmitter is good and its reading has not changed.
bool is_good_as_before(const TransmitterRecord& record, const Transmitter& seen,
                       const Settings::SignalLimits& limits, std::int64_t now_ms) noexcept {
    return record.quality == Quality::good && seen.reading.quality == Quality::good &&
           raw_of(seen) == record.last_seen && seen.reading.age_ms <= limits.stale_ms &&
           !is_frozen(record, now_ms);
}

/// Judges a transmitter that was not good, or whose reading has changed. Stays a call, see `select`.
[[gnu::noinline]] void judge_change(TransmitterRecord& record, const Transmitter& seen,
                                    const TransmitterSettings& range, const Settings::SignalLimits& limits,
                                    std::int64_t now_ms) noexcept {
    if (seen.reading.quality == Quality::bad || seen.reading.age_ms > limits.stale_ms) {
        mark_bad(record, seen.reading.cause);
        return;
    }
    const double raw = raw_of(seen);
    const double value_m = is_by_loop(seen) ? value_of_loop(raw, range) : raw;
    if (record.changed_ms == never_ms || raw != record.last_seen) {
        learn_noise(record, raw, value_m, range, limits, now_ms);
        record.last_seen = raw;
        record.changed_ms = now_ms;
    }
    const Verdict verdict = verdict_of(record, seen, value_m, range, limits, now_ms);
    if (is_contradicted(record)) {
        follow_contradicted(record, value_m, verdict, now_ms);
    } else if (verdict.quality == Quality::bad) {
        doubt(record, verdict.cause, limits, now_ms);
    } else if (must_prove_itself(record, limits, now_ms)) {
        record.value_m = value_m;
        record.believed_ms = now_ms;
    } else {
        believe(record, value_m, verdict, now_ms);
    }
}

/// The measured value of the present records.
MeasuredValue selected(SignalRecords& records, const Inputs& inputs, const Settings& settings) noexcept {
    MeasuredValue measured;
    measured.value_m = records.selected_m;
    if (settings.measured == Measured::header_pressure) {
        const TransmitterRecord& one = records.transmitter[0];
        measured.fitted = 1;
        measured.quality = one.quality;
        measured.cause = one.cause;
        if (one.quality != Quality::bad) {
            measured.usable = 1;
            measured.value_m = one.value_m;
            measured.held = is_held(one);
        }
        records.selected_m = measured.value_m;
        return measured;
    }

    for (const TransmitterSettings& range : settings.level_transmitter)
        if (range.fitted) ++measured.fitted;
    const TransmitterRecord& first = records.transmitter[0];
    const TransmitterRecord& second = records.transmitter[1];
    const bool first_usable = first.quality != Quality::bad;
    const bool second_usable = second.quality != Quality::bad;
    measured.usable = static_cast<std::uint8_t>((first_usable ? 1 : 0) + (second_usable ? 1 : 0));

    if (measured.usable == 0) {
        measured.quality = Quality::bad;
        measured.cause = first.cause == Cause::not_fitted ? second.cause : first.cause;
        records.disagree_since_ms = never_ms;
        return measured;
    }
    if (measured.usable == 1) {
        const TransmitterRecord& one = first_usable ? first : second;
        measured.value_m = one.value_m;
        measured.quality = one.quality;
        measured.cause = one.cause;
        measured.held = is_held(one);
        records.disagree_since_ms = never_ms;
        records.selected_m = measured.value_m;
        return measured;
    }

    const double difference_m = magnitude(first.value_m - second.value_m);
    measured.disagree = held_for(records.disagree_since_ms, !(difference_m <= settings.signal.disagreement_m),
                                 settings.signal.disagreement_hold_ms, inputs.time_ms);
    // When two transmitters differ, the safer value gives more pumping of a well, or less filling of a tank.
    // The higher value does so in both cases.
    const bool take_higher = measured.disagree || settings.signal.selection == Selection::higher;
    const double higher_m = first.value_m > second.value_m ? first.value_m : second.value_m;
    const bool one_doubtful = (first.quality == Quality::good) != (second.quality == Quality::good);
    if (one_doubtful) {
        measured.value_m = first.quality == Quality::good ? first.value_m : second.value_m;
        measured.quality = Quality::good;
        measured.cause = Cause::none;
    } else {
        const bool by_first = settings.signal.selection == Selection::by_quality;
        measured.value_m = take_higher ? higher_m
                           : by_first  ? first.value_m
                                       : first.value_m + (second.value_m - first.value_m) / 2;
        measured.quality = first.quality;
        measured.cause = first.cause;
        measured.held = is_held(first) || is_held(second);
    }
    if (measured.disagree) {
        measured.quality = Quality::uncertain;
        measured.cause = Cause::disagrees;
    }
    records.selected_m = measured.value_m;
    return measured;
}

/// Selects the measured value again. Returns true when the value is known otherwise than before. Judging a reading
/// that has not changed is the usual way, so the rare way stays a call.
[[gnu::noinline]] bool select(SignalRecords& records, const Inputs& inputs,
                              const Settings& settings) noexcept {
    const MeasuredValue before = records.measured;
    records.measured = selected(records, inputs, settings);
    return records.measured.is_known_otherwise(before);
}

}  // namespace

void contradict(TransmitterRecord& record, Contradiction why, Cause cause, std::int64_t now_ms) noexcept {
    record.before_m = record.value_m;
    record.contradiction = why;
    record.contradicted_ms = now_ms;
    record.quality = Quality::bad;
    record.cause = cause;
    record.good_since_ms = record.doubtful_since_ms = record.believed_ms = never_ms;
    record.least_need_known = false;
}

bool judge_transmitter(TransmitterRecord& record, const Transmitter& seen, const TransmitterSettings& range,
                       const Settings::SignalLimits& limits, std::int64_t now_ms) noexcept {
    if (!range.fitted) {
        const bool changed = record.cause != Cause::not_fitted;
        record.quality = Quality::bad;
        record.cause = Cause::not_fitted;
        return changed;
    }
    if (is_good_as_before(record, seen, limits, now_ms)) {
        record.believed_ms = now_ms;
        return false;
    }
    judge_change(record, seen, range, limits, now_ms);
    return true;
}

namespace {

/// Age of the newest reading of the transmitters, ms; never_read_ms when there never was a reading.
std::int32_t least_age_ms(const Inputs& inputs, const Settings& settings) noexcept {
    if (settings.measured == Measured::header_pressure) return inputs.header_pressure.reading.age_ms;
    std::int32_t least_ms = never_read_ms;
    for (std::size_t i = 0; i < transmitters_max; ++i)
        if (settings.level_transmitter[i].fitted)
            least_ms = std::min(least_ms, inputs.level[i].reading.age_ms);
    return least_ms;
}

}  // namespace

std::int64_t measured_read_ms(const Inputs& inputs, const Settings& settings) noexcept {
    const std::int32_t age_ms = least_age_ms(inputs, settings);
    return age_ms == never_read_ms ? never_ms : inputs.time_ms - age_ms;
}

double newest_age_ms(const Inputs& inputs, const Settings& settings) noexcept {
    const std::int32_t age_ms = least_age_ms(inputs, settings);
    return age_ms == never_read_ms ? std::numeric_limits<double>::quiet_NaN() : static_cast<double>(age_ms);
}

bool judge_measured_value(SignalRecords& records, const Inputs& inputs, const Settings& settings) noexcept {
    const auto judge = [&](std::size_t i, const Transmitter& seen,
                           const TransmitterSettings& range) noexcept {
        return judge_transmitter(records.transmitter[i], seen, range, settings.signal, inputs.time_ms);
    };
    // While two transmitters differ, every scan selects again, because the holding time of the disagreement
    // is running.
    bool selects = records.disagree_since_ms != never_ms;
    if (settings.measured == Measured::header_pressure) {
        selects |= judge(0, inputs.header_pressure, settings.pressure_transmitter);
        // Nothing else can confirm a pressure, and a valve can make a pressure jump.
        records.transmitter[0].contradiction = Contradiction::none;
        // A pressure swings with the speed of the pumps and then stops, so that its turns prove no noise.
        records.transmitter[0].turns = 0;
    } else {
        selects |= judge(0, inputs.level[0], settings.level_transmitter[0]);
        selects |= judge(1, inputs.level[1], settings.level_transmitter[1]);
    }
    return selects && select(records, inputs, settings);
}

}  // namespace freshet::core
