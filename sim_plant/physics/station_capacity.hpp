// What a station can do when everything is steady: capacities, speeds and losses for checks, settings and
// reports.
//
// One reason to change: which steady figure of a station is asked for.
//
// Equations: the balance of hydraulics.hpp with nothing changing: each pump's flow at the header head adds up
// to the flow that the main takes at that head; solved by bisection and Newton to the last bits. Check valves
// are tight.
//
// Units: SI; speeds are ratios of rated speed; `level_m` is the store's level above datum (for the
// pressure duty: the header's pressure head).
//
// Valid: 0..8 pumps, speed ratio 0..1.5.
//
// Source: parallel pumps on one system curve: common practice.
//
// Leaves out: wear and faults.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "config/station.hpp"

namespace freshet::plant {

/// Pumps together on the main, steady.
struct OperatingPoint {
    double total_flow_m3s = 0, header_head_m = 0;
    std::array<double, 8> flow_m3s{}, shaft_power_w{}, efficiency{};  ///< of each pump asked for
};

/// Where pumps of these speeds work together; up to eight.
OperatingPoint operating_point(const config::Station& station, std::span<const double> speed_ratio,
                               double level_m);

/// Flow of `pumps` pumps at one speed, m3/s; 0 when they do not overcome the static head.
double capacity_m3s(const config::Station& station, int pumps, double speed_ratio, double level_m);

/// Static head to overcome, m: where the water goes less where it comes from.
double static_head_m(const config::Station& station, double level_m);

/// Speed at which one more pump just overcomes the header head of `pumps_on_line` pumps at rated speed; above
/// 1: it never does at rated speed.
double overcoming_speed_ratio(const config::Station& station, int pumps_on_line, double level_m);

/// Speed at which one more pump beside `pumps_on_line` pumps at rated speed delivers the minimum continuous
/// flow (which shrinks with its speed, by affinity); nothing when it does not by 1.5 times rated speed.
std::optional<double> minimum_flow_speed_ratio(const config::Station& station, int pumps_on_line,
                                               double level_m);

/// k of h = k Q^2 that meets the main's loss at firm flow (all pumps but one at rated speed), s2/m5.
double fitted_main_loss_s2m5(const config::Station& station, double level_m);

/// What makes a station impossible for the water side.
enum class Contradiction {
    curve_unusable,
    storage_unusable,
    never_overcomes_static_head,
    reach_unusable,
    fluid_unusable,
    store_unusable,
    pump_count_unusable,
    vessel_unusable
};
struct HydraulicFinding {
    Contradiction what;
    double figure = 0, limit = 0;  ///< SI; what was found and what it is held against
    std::string text;              ///< a sentence with both figures
};
/// Every contradiction; empty: Hydraulics can be built and can move water at the lowest lift.
std::vector<HydraulicFinding> hydraulic_contradictions(const config::Station& station);

}  // namespace freshet::plant
