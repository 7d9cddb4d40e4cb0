// The instruments of a station: level transmitters, a pressure transmitter and floats.
//
// One reason to change: which instruments a station has, or how often they measure.
//
// Model: each transmitter measures at its own interval, but never more often than the scan. A station whose
// duty does not hold pressure measures pressure once a second, as the other meters do. The pressure
// transmitter has ordinary quality (common practice): its noise is a thousandth of its span, and its lag is a
// fifth of a second.
// Units: levels in m above the station datum, pressure in m of head.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "config/devices.hpp"
#include "config/scenario.hpp"
#include "config/signals.hpp"
#include "config/station.hpp"
#include "sim_plant/sensors/float_switch.hpp"
#include "sim_plant/sensors/transmitter.hpp"

namespace freshet::plant {

/// The meters refresh once a second and no faster (common practice).
inline constexpr std::int64_t metering_ms = 1000;

class Instruments {
  public:
    Instruments(const config::Station& station, const config::Scenario& scenario, std::int32_t scan_ms);

    /// Sets every transmitter to the steady reading for this level and this pressure.
    void settle(double level_m, double pressure_m);
    /// Writes the readings of the instruments at an instant. A transmitter whose next measurement is not due
    /// does not change its signals.
    void read(double level_m, double pressure_m, std::int64_t now_ms, config::Readings& readings);
    /// When the next level transmitter measures.
    std::int64_t next_level_ms() const;

    /// Sets or clears a fault of the transmitter whose loop is this signal. Does nothing when the station
    /// does not have that transmitter.
    void set_fault(config::SignalIndex loop, config::FaultKind kind, bool active, double amount);

  private:
    /// A transmitter, the interval of its measurements and the signals for its readings.
    struct Fitted {
        Transmitter transmitter;
        config::SignalIndex loop, value;
        std::int64_t update_ms = 0, next_ms = 0;

        void read(double true_value, std::int64_t now_ms, config::Readings& readings);
    };

    std::vector<Fitted> level_;
    std::optional<Fitted> pressure_;
    std::optional<Float> high_float_, low_float_;
};

}  // namespace freshet::plant
