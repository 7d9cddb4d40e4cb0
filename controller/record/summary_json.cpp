// Writes the keys in the order of RunSummary. Writes each number in the shortest form that reads back
// exactly.
#include "controller/record/summary_json.hpp"

#include <nlohmann/json.hpp>

#include "controller/words/instant.hpp"

namespace freshet::record {
namespace {

using Json = nlohmann::ordered_json;

void put_run(Json& json, const RunSummary& summary) {
    json["scenario"] = summary.scenario;
    json["station"] = summary.station;
    json["simulated_s"] = summary.simulated_s;
    json["wall_s"] = summary.wall_s;
    json["scans"] = summary.scans;
    json["level_max_m"] = summary.level_max_m;
    json["level_min_m"] = summary.level_min_m;
    json["measured_good_s"] = summary.measured_good_s;
    json["measured_uncertain_s"] = summary.measured_uncertain_s;
    json["measured_bad_s"] = summary.measured_bad_s;
    json["measured_not_good_s_by_cause"] = Json::object();
    for (const auto& [cause, seconds] : summary.measured_not_good_s_by_cause)
        json["measured_not_good_s_by_cause"][cause] = seconds;
}

void put_volumes_and_energy(Json& json, const RunSummary& summary) {
    json["overflow_m3"] = summary.overflow_m3;
    json["inflow_m3"] = summary.inflow_m3;
    json["pumped_m3"] = summary.pumped_m3;
    json["volume_error_m3"] = summary.volume_error_m3;
    json["energy_kwh"] = summary.energy_kwh;
    json["energy_kwh_per_m3"] = summary.pumped_m3 > 0 ? summary.energy_kwh / summary.pumped_m3 : unknown;
    json["energy_cost"] = summary.energy_cost;
}

void put_transfers_and_starts(Json& json, const RunSummary& summary) {
    json["hand_overs"] = summary.hand_overs;
    json["take_backs"] = summary.take_backs;
    json["line_starts"] = summary.line_starts;
    json["starts_per_pump"] = Json::array();
    json["run_h_per_pump"] = Json::array();
    for (std::size_t pump = 0; pump < summary.pump_count && pump < core::pumps_max; ++pump) {
        json["starts_per_pump"].push_back(summary.starts_per_pump[pump]);
        json["run_h_per_pump"].push_back(summary.run_h_per_pump[pump]);
    }
}

/// How the water treated the pumps.
void put_water(Json& json, const RunSummary& summary) {
    for (const char* key : {"below_minimum_flow_s_per_pump", "backflow_s_per_pump", "npsh_short_s_per_pump",
                            "npsh_margin_min_m_per_pump"})
        json[key] = Json::array();
    for (std::size_t pump = 0; pump < summary.pump_count && pump < core::pumps_max; ++pump) {
        const PumpWater& water = summary.water_per_pump[pump];
        json["below_minimum_flow_s_per_pump"].push_back(water.below_minimum_flow_s);
        json["backflow_s_per_pump"].push_back(water.backflow_s);
        json["npsh_short_s_per_pump"].push_back(water.npsh_short_s);
        json["npsh_margin_min_m_per_pump"].push_back(water.npsh_margin_min_m);
    }
    json["suction_dry_s"] = summary.suction_dry_s;
    json["vortex_s"] = summary.vortex_s;
    json["column_parts_s"] = summary.column_parts_s;
    json["surge_head_max_m"] = summary.surge_head_max_m;
}

void put_wear_and_limits(Json& json, const RunSummary& summary) {
    json["wear_run_h_spread"] = summary.wear_run_h_spread;
    json["wear_starts_spread"] = summary.wear_starts_spread;
    json["starts_per_hour_max"] = summary.starts_per_hour_max;
    json["transfers_per_hour_max"] = summary.transfers_per_hour_max;
    json["overlap_ms_max"] = summary.overlap_ms_max;
    json["closing_angle_deg_max"] = summary.closing_angle_deg_max;
}

void put_closings(Json& json, const RunSummary& summary) {
    json["closing_count"] = nullptr;
    if (summary.closing_count) json["closing_count"] = *summary.closing_count;
    json["closings"] = Json::array();
    for (const ClosingShock& closing : summary.closings) {
        Json one;
        one["time"] = words::instant(closing.time_ms);
        one["pump"] = closing.pump + 1;
        one["contactor"] = closing.line_side ? "line_side" : "drive_side";
        one["from_rest"] = closing.from_rest;
        one["angle_deg"] = closing.angle_deg;
        one["slip_hz"] = closing.slip_hz;
        one["resultant_v_per_hz_pu"] = closing.resultant_v_per_hz_pu;
        one["peak_current_ratio"] = closing.peak_current_ratio;
        one["torque_max_ratio"] = closing.torque_max_ratio;
        one["torque_min_ratio"] = closing.torque_min_ratio;
        json["closings"].push_back(one);
    }
}

void put_alarms(Json& json, const RunSummary& summary) {
    json["alarms"] = summary.alarms;
    json["alarms_by_name"] = Json::object();
    for (const auto& [name, raised] : summary.alarms_by_name) json["alarms_by_name"][name] = raised;
    json["alarms_peak_10_min"] = summary.alarms_peak_10_min;
    json["alarm_floods"] = summary.alarm_floods;
    json["alarms_standing"] = summary.alarms_standing;
    json["alarms_chattering"] = summary.alarms_chattering;
    json["alarms_stale"] = summary.alarms_stale;
    json["alarm_longest"] = summary.alarm_longest;
    json["alarm_longest_s"] = summary.alarm_longest_s;
}

}  // namespace

std::string summary_json(const RunSummary& summary) {
    Json json;
    put_run(json, summary);
    put_volumes_and_energy(json, summary);
    put_transfers_and_starts(json, summary);
    put_water(json, summary);
    put_wear_and_limits(json, summary);
    put_closings(json, summary);
    put_alarms(json, summary);
    // A scenario's name comes from a file and may hold any bytes. Bytes that are not UTF-8 become a
    // replacement character.
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace freshet::record
