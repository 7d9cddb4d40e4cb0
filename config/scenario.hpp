// A run: station, weather, first state, faults, length. Plain data as the loader reads it.
// One reason to change: what a scenario file can describe.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

namespace freshet::config {

/// Time since the start of the run, and a value; times rise strictly.
struct SeriesPoint {
    double t_s = 0, value = 0;
};

/// Cumulative rain: the fraction of the depth by time. The fraction rises from 0 to 1.
struct RainDistribution {
    std::string name;
    std::vector<SeriesPoint>
        cumulative;    ///< t_s holds hours in a 24-hour table, else fractions of the duration; see `span`
    double span = 24;  ///< the last t_s
};

/// One triangular unit hydrograph of a sewer's response: fraction R of the rain on the sewered area,
/// time to peak T, ratio of recession to peak time K.
struct SewerTriangle {
    double r = 0, time_to_peak_s = 0, recession_ratio = 0;
};

struct Storm {
    RainDistribution distribution;
    double depth_m = 0;
    double duration_s = 86400;
    double begins_s = 0;  ///< after the start of the run; negative: began before it
};

struct Catchment {
    double sewered_area_m2 = 0;
    std::vector<SewerTriangle> triangles;  ///< usually three
    /// Surface runoff by curve number and dimensionless unit hydrograph; area 0: none.
    double surface_area_m2 = 0, curve_number = 0, time_of_concentration_s = 0;
};

struct DryWeather {
    double average_m3s = 0;
    std::array<double, 24> weekday{};  ///< hourly factors, mean 1
    std::array<double, 24> weekend{};
    double variation_ratio = 0;  ///< standard deviation of a slow seeded wander over the pattern; 0: none
};

struct Weather {
    DryWeather dry;
    std::vector<Storm> storms;
    Catchment catchment;
    std::vector<SeriesPoint> measured_inflow_m3s;  ///< replaces everything above, unless empty
};

/// Every way in which a device can fail. Devices are named as in the field map ("level_1",
/// "pump_2.line_side", "drive", "line"). The order is fixed: seeded random storms draw a kind by its number.
enum class FaultKind : std::uint8_t {
    dead,
    frozen,
    erratic,
    offset,
    lagging,
    drops_out,
    drift,
    spike,
    under_range,
    over_range,  // transmitters
    stuck_on,
    stuck_off,  // floats, any bit
    does_not_close,
    does_not_open,
    closes_late,
    lies_closed,
    lies_open,  // contactors
    trip,
    never_in_sync,
    slips_out_of_sync,
    loses_reference,
    not_ready,  // drive, pump
    blocked,
    worn,
    valve_stuck_open,  // pump
    dip,
    wander,
    lost,
    generator,  // line
    link_lost,
    link_slow,
    link_garbled,  // Modbus
    emergency_stop,
    selector_off,
    selector_hand  // people
};

struct Fault {
    double begins_s = 0;
    double lasts_s = 0;  ///< 0: to the end of the run
    std::string device;
    FaultKind kind = FaultKind::dead;
    double amount = 0;  ///< meaning by kind, SI: offset in the signal's unit, delay in s, ratio
};

/// What people do about an emergency stop and its alarms.
enum class PeopleAction : std::uint8_t {
    reset,        ///< the reset at the controller's panel
    press_reset,  ///< the reset button at the station, pressed for a second
    acknowledge   ///< every alarm is acknowledged at the controller's panel
};

struct PeopleAct {
    double at_s = 0;  ///< after the start of the run
    PeopleAction action = PeopleAction::reset;
};

/// How often people have acted at the controller's panel up to an instant of a run. The counts begin again
/// after 65,535.
struct PeopleCounts {
    std::uint16_t resets = 0, acknowledgements = 0;
    friend bool operator==(const PeopleCounts&, const PeopleCounts&) = default;
};

struct Scenario {
    std::string name, title, file;
    std::string station_file, field_map_file;  ///< resolved against the scenario's own folder
    std::int64_t start_ms = 0;                 ///< Unix milliseconds, UTC: station time at the start
    double duration_s = 0;
    std::uint64_t seed = 1;
    double initial_level_m = 0;
    Weather weather;
    std::vector<SeriesPoint>
        demand_m3s;  ///< filling and pressure duties; t_s after midnight UTC, repeats daily
    std::vector<Fault> faults;
    std::vector<PeopleAct> people;
};

}  // namespace freshet::config
