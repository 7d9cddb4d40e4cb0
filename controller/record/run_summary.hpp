// The figures of one run. Each member is a key of summary.json.
// One reason to change: a figure in the summary of every run.
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "controller/core/inputs.hpp"

namespace freshet::record {

/// The value of a figure that a run cannot know. For example, a controller process does not know the true
/// inflow. The value is NaN. The summary writes NaN as null.
inline constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

/// The effect of one closing onto a live source on the motor.
struct ClosingShock {
    std::int64_t time_ms = 0;
    std::uint8_t pump = 0;  ///< counts from zero
    bool line_side = false, from_rest = false;
    double angle_deg = 0, slip_hz = 0, resultant_v_per_hz_pu = 0;
    double peak_current_ratio = unknown;  ///< over the steady peak before the closing; unknown from rest
    double torque_max_ratio = 0, torque_min_ratio = 0;
};

/// How the water treated a pump. A controller does not know these figures.
struct PumpWater {
    double below_minimum_flow_s = unknown;  ///< the pump turned below its minimum continuous flow
    double backflow_s = unknown;
    double npsh_short_s = unknown;       ///< NPSH available less than required
    double npsh_margin_min_m = unknown;  ///< unknown also when the pump never turned
};

struct RunSummary {
    std::string scenario;  ///< empty: no scenario
    std::string station;
    std::uint8_t pump_count = 0;  ///< the summary writes so many elements of each array
    double simulated_s = 0;       ///< station time from first to last scan
    double wall_s = 0;
    std::uint64_t scans = 0;

    double level_max_m = unknown, level_min_m = unknown;
    double overflow_m3 = unknown, inflow_m3 = unknown, pumped_m3 = unknown;
    double volume_error_m3 = unknown;  ///< in - pumped - overflow - change of volume, m3
    double energy_kwh = unknown;       ///< energy measured at the line
    double energy_cost = unknown;      ///< in the tariff's money; unknown without a tariff

    double measured_good_s = unknown, measured_uncertain_s = unknown, measured_bad_s = unknown;
    std::vector<std::pair<std::string, double>> measured_not_good_s_by_cause;  ///< causes as in the journal

    std::uint32_t hand_overs = 0, take_backs = 0, line_starts = 0;  ///< completed only
    std::array<std::uint32_t, core::pumps_max> starts_per_pump{};
    std::array<double, core::pumps_max> run_h_per_pump{};
    double wear_run_h_spread = unknown;   ///< of the hour meters of pumps available at the end
    double wear_starts_spread = unknown;  ///< of the starts of the same pumps
    std::array<PumpWater, core::pumps_max> water_per_pump{};
    double suction_dry_s = unknown, vortex_s = unknown;  ///< a pump turned with the level below the mark
    double column_parts_s =
        unknown;  ///< vapour pressure at the header, where a real column would have parted
    double surge_head_max_m = unknown;         ///< Joukowsky head if all pumps trip at the worst moment
    std::uint32_t starts_per_hour_max = 0;     ///< most starts of one pump in any hour
    std::uint32_t transfers_per_hour_max = 0;  ///< completed transfers of all pumps in any hour
    double overlap_ms_max = unknown;           ///< longest time that both contactors of one motor were closed
    double closing_angle_deg_max =
        unknown;  ///< largest angle, unsigned, at which contacts met between drive and line
    std::optional<std::uint32_t> closing_count;  ///< of the whole run; unknown to a controller
    std::vector<ClosingShock> closings;          ///< in order of time; a long run keeps only the first
    std::uint32_t alarms = 0;                    ///< how often an alarm was raised
    std::vector<std::pair<std::string, std::uint32_t>> alarms_by_name;  ///< raised; names as in the journal
    std::uint32_t alarms_peak_10_min = 0;  ///< most alarms raised within any ten minutes
    std::uint32_t alarm_floods = 0;        ///< from more than ten in ten minutes to fewer than five
    std::uint32_t alarms_standing = 0;     ///< alarms active at the end
    std::uint32_t alarms_chattering = 0;   ///< alarms raised three times or more within a minute
    std::uint32_t alarms_stale = 0;        ///< alarms that were active for more than a day
    std::string alarm_longest;             ///< alarm active longest; a pump's alarm has the pump number
    double alarm_longest_s = unknown;
};

}  // namespace freshet::record
