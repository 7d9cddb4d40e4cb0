// The measured value and its quality, from the transmitters: loop limits, plausibility, freezing,
// disagreement and selection.
// One reason to change: when a reading is believed.
#pragma once

#include <array>
#include <cstdint>

#include "controller/core/inputs.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Why a transmitter is not believed although its loop is sound, see contradiction.hpp.
enum class Contradiction : std::uint8_t { none, jumped, fell, by_float, below_float, count };

/// The memory of one transmitter between scans.
struct TransmitterRecord {
    double value_m = 0;                   ///< last believed value
    std::int64_t believed_ms = never_ms;  ///< station time of that value
    std::int64_t doubtful_since_ms = never_ms;
    std::int64_t good_since_ms = never_ms;
    double last_seen = 0;  ///< raw reading, bit for bit, to detect freezing
    std::int64_t changed_ms = never_ms;
    double last_step = 0;               ///< size of the last change of the raw reading
    std::int64_t still_longest_ms = 0;  ///< longest time without a change lately, see learn_noise
    std::int64_t frozen_after_ms = 0;   ///< a reading that stays the same for longer is frozen; 0: never
    std::int16_t turns = 0;             ///< that proved noise so far, up to the number that is enough
    bool rose = false;                  ///< at the last change
    Quality quality = Quality::bad;
    Cause cause = Cause::never_read;
    Contradiction contradiction = Contradiction::none;
    std::int64_t contradicted_ms = never_ms;  ///< since when its reading has been plausible again
    double before_m = 0;                      ///< last believed value before a jump
    double foretold_before_m = 0;             ///< WaterWitness::foretold_m at that time
    double least_need_m = 0;                  ///< no fall below this need can be true
    bool least_need_known = false;
};

/// True when the transmitter is measuring, although another witness contradicts its reading.
constexpr bool is_contradicted(const TransmitterRecord& record) noexcept {
    return record.contradiction != Contradiction::none;
}

/// Stops believing the transmitter, because another witness contradicts its reading.
void contradict(TransmitterRecord& record, Contradiction why, Cause cause, std::int64_t now_ms) noexcept;

/// The measured value of the duty in one scan.
struct MeasuredValue {
    double value_m = 0;
    Quality quality = Quality::bad;
    Cause cause = Cause::never_read;
    std::uint8_t usable = 0;  ///< transmitters that are not bad
    std::uint8_t fitted = 0;
    bool disagree = false;
    bool held = false;  ///< an older value replaces a reading that is not believed; starts no pump

    /// True when the other differs in more than the value.
    bool is_known_otherwise(const MeasuredValue& other) const noexcept {
        return quality != other.quality || cause != other.cause || usable != other.usable ||
               disagree != other.disagree || held != other.held;
    }
};

/// The memory of the transmitters and of the selection between scans.
struct SignalRecords {
    std::array<TransmitterRecord, transmitters_max> transmitter;
    std::int64_t disagree_since_ms = never_ms;
    double selected_m = 0;
    MeasuredValue measured;  ///< selected again when a record changes
};

/// NAMUR NE 43: measurement from 3.8 to 20.5 mA; failure at or below 3.6 mA and at or above 21 mA.
inline constexpr double loop_measuring_min_ma = 3.8, loop_measuring_max_ma = 20.5;
inline constexpr double loop_failure_low_ma = 3.6, loop_failure_high_ma = 21.0;

/// Value of a 4-20 mA loop, m; linear through the ends of the range.
constexpr double value_of_loop(double loop_ma, const TransmitterSettings& range) {
    return range.value_at_4ma_m + (range.value_at_20ma_m - range.value_at_4ma_m) * (loop_ma - 4.0) / 16.0;
}

/// Loop current that corresponds to a value, mA; linear through the ends of the range, which must differ.
constexpr double loop_of_value(double value_m, const TransmitterSettings& range) {
    return 4.0 + 16.0 * (value_m - range.value_at_4ma_m) / (range.value_at_20ma_m - range.value_at_4ma_m);
}

/// Judges one transmitter in one scan and updates its record. Returns false when the transmitter is good and
/// its reading has not changed.
bool judge_transmitter(TransmitterRecord& record, const Transmitter& seen, const TransmitterSettings& range,
                       const Settings::SignalLimits& limits, std::int64_t now_ms) noexcept;

/// Station time of the newest reading of the transmitters; never_ms when there never was a reading.
std::int64_t measured_read_ms(const Inputs& inputs, const Settings& settings) noexcept;

/// Age of that reading, ms; NaN when there never was a reading.
double newest_age_ms(const Inputs& inputs, const Settings& settings) noexcept;

/// Judges all transmitters of the duty and selects the measured value, `records.measured`. Returns true when more
/// than the value changed, for example the quality.
bool judge_measured_value(SignalRecords& records, const Inputs& inputs, const Settings& settings) noexcept;

}  // namespace freshet::core
