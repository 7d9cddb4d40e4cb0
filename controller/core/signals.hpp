// From transmitters to one measured value with a quality: loop limits, plausibility, freezing, disagreement,
// selection. One reason to change: how a reading is believed.
#pragma once

#include <array>
#include <cstdint>

#include "controller/core/inputs.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// What is remembered of one transmitter between scans.
struct TransmitterRecord {
    double value_m = 0;                   ///< last believed value
    std::int64_t believed_ms = never_ms;  ///< when that was
    std::int64_t doubtful_since_ms = never_ms;
    std::int64_t good_since_ms = never_ms;
    double last_seen = 0;  ///< for freezing: the raw reading, bit for bit
    std::int64_t changed_ms = never_ms;
    Quality quality = Quality::bad;
    Cause cause = Cause::never_read;
};

/// The duty's measured value of one scan.
struct MeasuredValue {
    double value_m = 0;
    Quality quality = Quality::bad;
    Cause cause = Cause::never_read;
    std::uint8_t usable = 0;  ///< transmitters that are not bad
    std::uint8_t fitted = 0;
    bool disagree = false;
    bool held = false;  ///< an older value, kept while the reading is not believed; it starts nothing
};

struct SignalRecords {
    std::array<TransmitterRecord, transmitters_max> transmitter;
    std::int64_t disagree_since_ms = never_ms;
    double selected_m = 0;
    MeasuredValue measured;  ///< selected from the transmitters; selected anew when one says something new
};

/// NAMUR NE 43: measurement from 3.8 to 20.5 mA; failure at or below 3.6 mA and at or above 21 mA.
inline constexpr double loop_measuring_min_ma = 3.8, loop_measuring_max_ma = 20.5;
inline constexpr double loop_failure_low_ma = 3.6, loop_failure_high_ma = 21.0;

/// Value of a 4-20 mA loop, linear between the range ends.
constexpr double value_of_loop(double loop_ma, const TransmitterSettings& range) {
    return range.value_at_4ma_m + (range.value_at_20ma_m - range.value_at_4ma_m) * (loop_ma - 4.0) / 16.0;
}

/// Current of the loop that would tell a value, mA; the range's ends differ.
constexpr double loop_of_value(double value_m, const TransmitterSettings& range) {
    return 4.0 + 16.0 * (value_m - range.value_at_4ma_m) / (range.value_at_20ma_m - range.value_at_4ma_m);
}

/// Judges one transmitter in one scan and updates its record. False when it is good and says what it said
/// before.
bool judge_transmitter(TransmitterRecord& record, const Transmitter& seen, const TransmitterSettings& range,
                       const Settings::SignalLimits& limits, std::int64_t now_ms) noexcept;

/// Station time of the newest reading behind the measured value; never_ms where there never was one.
std::int64_t measured_read_ms(const Inputs& inputs, const Settings& settings) noexcept;

/// Age of that reading, ms; not a number where there never was one.
double newest_age_ms(const Inputs& inputs, const Settings& settings) noexcept;

/// Judges all transmitters of the duty and selects one value, `records.measured`.
void judge_measured_value(SignalRecords& records, const Inputs& inputs, const Settings& settings) noexcept;

}  // namespace freshet::core
