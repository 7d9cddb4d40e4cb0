// The synchronism check; see the header.
#include "controller/core/sync_check.hpp"

#include "controller/core/numbers.hpp"
#include "controller/core/times.hpp"

namespace freshet::core {

namespace {
/// A reading beyond this number is senseless.
constexpr double far = 1e6;
}  // namespace

double wrapped_deg(double angle_deg) noexcept {
    constexpr double turn_deg = 360;
    if (!(magnitude(angle_deg) <= far)) return turn_deg / 2;
    const auto turns = static_cast<std::int64_t>(angle_deg / turn_deg + (angle_deg < 0 ? -0.5 : 0.5));
    return angle_deg - turn_deg * static_cast<double>(turns);
}

SyncReading read_sync(const DriveInputs& drive, const LineInputs& line, const Settings::SyncCheck& limits,
                      std::int32_t closing_ms) noexcept {
    SyncReading reading;
    std::int32_t oldest_ms = 0;
    bool good = true;
    for (const Analog* signal :
         {&drive.frequency_hz, &drive.voltage_v, &drive.angle_deg, &line.frequency_hz, &line.voltage_v}) {
        if (signal->age_ms > oldest_ms) oldest_ms = signal->age_ms;
        if (signal->quality != Quality::good) good = false;
    }
    if (!good || oldest_ms > limits.age_max_ms || !(line.voltage_v.value > 0)) return reading;

    constexpr double degrees_per_turn = 360;
    const double slip_hz = drive.frequency_hz.value - line.frequency_hz.value;
    const double voltage_ratio = (drive.voltage_v.value - line.voltage_v.value) / line.voltage_v.value;
    if (!(magnitude(slip_hz) <= far) || !(magnitude(voltage_ratio) <= far)) return reading;
    reading.usable = true;
    reading.slip_hz = slip_hz;
    reading.voltage_ratio = voltage_ratio;
    const double lead_s = seconds_of(std::int64_t{drive.angle_deg.age_ms} + closing_ms);
    reading.angle_at_closing_deg =
        wrapped_deg(drive.angle_deg.value + degrees_per_turn * reading.slip_hz * lead_s);
    reading.within = magnitude(reading.slip_hz) <= limits.slip_max_hz &&
                     magnitude(reading.voltage_ratio) <= limits.voltage_max_ratio &&
                     magnitude(reading.angle_at_closing_deg) <= limits.angle_max_deg;
    return reading;
}

}  // namespace freshet::core
