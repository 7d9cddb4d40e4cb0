// The instruments that a station is fitted with: level and pressure transmitters and floats.
//
// One reason to change: which instruments a station has, or how often they measure.
//
// Model: each transmitter measures at its own interval, never more often than the scan. Where pressure is not
// what the duty holds, it is logged once a second like the other meters. The pressure transmitter is of
// ordinary quality (common practice): noise of a thousandth of span, a fifth of a second of lag.
// Units: m above the station datum for levels, m of pressure head.
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

/// Metering refreshes once a second, no faster (common practice).
inline constexpr std::int64_t metering_ms = 1000;

class Instruments {
  public:
    Instruments(const config::Station& station, const config::Scenario& scenario, std::int32_t scan_ms);

    /// Puts every transmitter at rest at what is measured now.
    void settle(double level_m, double pressure_m);
    /// Writes what the instruments show at an instant. A transmitter that does not measure yet leaves its
    /// signals alone.
    void read(double level_m, double pressure_m, std::int64_t now_ms, config::Readings& readings);
    /// When the next level transmitter measures.
    std::int64_t next_level_ms() const;

    /// Sets or clears a fault of the transmitter whose loop is this signal. Nothing where none is fitted.
    void set_fault(config::SignalIndex loop, config::FaultKind kind, bool active, double amount);

  private:
    /// A transmitter, how often it measures and where its readings go.
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
