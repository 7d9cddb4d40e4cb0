// Stepping the water side; see the header for the equations and what they leave out.
#include "sim_plant/physics/hydraulics.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <utility>

#include "sim_plant/physics/check_valve.hpp"
#include "sim_plant/physics/gravity.hpp"
#include "sim_plant/physics/station_capacity.hpp"
#include "sim_plant/physics/surge.hpp"

namespace freshet::plant {
namespace {

/// Below this share of rated speed a pump is not judged against its minimum flow.
constexpr double judged_from_speed = 0.1;
/// Newton's last change, as a share of the station's flow scale, below which its square no longer matters.
constexpr double settled_change = 1e-5;
constexpr int newton_passes_max = 6;
constexpr int bracketed_passes_max = 200;
constexpr int widenings_max = 80;
/// Height above the discharge level at which a demand is met in full, m (common practice: about one bar).
constexpr double full_demand_height_m = 10;
/// Time in which an impeller fills with air or clears itself of it, s (our choice, of the order of its
/// water's passage).
constexpr double air_passes_s = 1;
/// Change of lift, as a share of the shut-off head, below which settled flows are held as they are: half a
/// millimetre in 50 m. What that does to a flow lies far below what a flow meter shows.
constexpr double hold_ratio = 1e-5;
/// A table reaches this far beyond the flow of all pumps at their last catalogue points.
constexpr double table_reserve = 1.2;

const config::Station& checked(const config::Station& station) {
    const auto findings = hydraulic_contradictions(station);
    if (!findings.empty()) throw std::invalid_argument(findings.front().text);
    return station;
}

/// A pressure station has no store; a prism stands in so that there is one kind of object.
std::vector<config::StoragePoint> storage_of(const config::Station& station) {
    if (station.duty == config::Duty::hold_pressure) return {{0, 0}, {1, 1}};
    return station.well.storage;
}

/// Share of the head that is left when the suction draws air.
double air_factor_at(double level_m, double from_m, double per_m) {
    return std::clamp(1 - (from_m - level_m) * per_m, 0.0, 1.0);
}

}  // namespace

/// The main as a rigid column: the unknown is its flow.
struct Hydraulics::Column {
    const MainLoss& loss;
    double base_m, slope_sm2, guess;
    Balance at(double flow) const {
        const MainLoss::Reading friction = loss.at(flow);
        return {base_m + slope_sm2 * flow + friction.loss_m, slope_sm2 + friction.slope_sm2, flow, 1};
    }
    double first_stride(double flow_scale) const { return 0.1 * flow_scale; }
};

/// The header of a pressure station: the unknown is its head.
struct Hydraulics::Header {
    const HeaderStorage& storage;
    double suction_m, centre_line_m, discharge_m, demand_m3s, held_m3, per_dt, guess;
    double delivered(double head, double& slope) const {
        const double ratio = (head - discharge_m) / full_demand_height_m;
        slope = 0;
        if (ratio >= 1) return demand_m3s;
        if (ratio <= 0) return 0;
        slope = demand_m3s * 2 * (1 - ratio) / full_demand_height_m;
        return demand_m3s * ratio * (2 - ratio);
    }
    Balance at(double head) const {
        const HeaderStorage::Reading held = storage.at(head - centre_line_m);
        double slope = 0;
        const double out = delivered(head, slope) + (held.water_m3 - held_m3) * per_dt;
        return {head - suction_m, 1, out, slope + held.slope_m2 * per_dt};
    }
    double first_stride(double) const { return 1; }
};

Hydraulics::Hydraulics(const config::Station& station, double initial_m)
    : station_(checked(station)),
      curve_(station.pump, station.fluid),
      loss_(station.main, station.fluid, table_reserve * station.pump_count * curve_.largest_flow_m3s()),
      storage_(storage_of(station)),
      header_storage_(station),
      pumps_(station.pump_count),
      inertia_s2m2_(column_inertia_s2m2(station.main)),
      flow_scale_m3s_(curve_.largest_flow_m3s()) {
    const double narrowest = narrowest_diameter_m(station.main);
    per_bore_m2_ = narrowest > 0 ? 1 / area_m2(narrowest) : 0;
    centre_line_m_ = station.well.suction_level_m;
    discharge_m_ = station.main.discharge_level_m;
    vortex_m_ = station.well.vortex_level_m;
    hold_head_m_ = hold_ratio * curve_.shut_off_head_m();
    hold_speed_ = 0.5 * hold_ratio;  // head goes with the square of speed
    crest_m_ = station.well.overflow_level_m;
    const double weight = curve_.specific_weight_nm3();
    vapour_head_m_ = (station.fluid.vapour_pressure_pa - atmosphere_pa) / weight;
    npsh_offset_m_ = -vapour_head_m_ - station.well.suction_level_m;
    air_from_m_ = station.well.suction_level_m;
    const double air_band = 0.5 * (air_from_m_ - storage_.floor_level_m());
    air_per_m_ = station.duty == config::Duty::empty_well && air_band > 0 ? 1 / air_band : 0;
    for (std::size_t i = 0; i < pumps_; ++i)
        set_branch(branches_[i], curve_, station.pump.branch_loss_s2m5, 0, 1);

    double suction = station.suction_head_m;
    if (station.duty == config::Duty::hold_pressure) {
        header_head_m_ = initial_m + station.well.suction_level_m;
        initial_volume_m3_ = header_storage_.at(initial_m).water_m3;
        state_.level_m = station.suction_head_m;
    } else {
        initial_volume_m3_ = std::max(storage_.volume_m3(initial_m), storage_.floor_volume_m3());
        state_.level_m = storage_.level_m(initial_volume_m3_);
        header_head_m_ = station.main.discharge_level_m;
        if (station.duty == config::Duty::fill_tank)
            header_head_m_ = std::max(header_head_m_, state_.level_m);
        if (station.duty == config::Duty::empty_well) suction = state_.level_m;
    }
    volume_m3_ = CompensatedSum(initial_volume_m3_);
    state_.volume_m3 = initial_volume_m3_;
    report(suction, header_head_m_);
}

void Hydraulics::set_step(double dt_s) {
    dt_s_ = dt_s;
    inertia_per_step_ = inertia_s2m2_ / dt_s;
    weir_step_m15_ = dt_s * station_.well.overflow_coefficient * station_.well.overflow_width_m;
    // The held slopes belong to the step they were taken with.
    hand_back();
}

void Hydraulics::hand_back() {
    if (!lanes_.ready()) return;
    lanes_.hand_back(std::span(branches_).first(pumps_), curve_, station_.pump.branch_loss_s2m5, air_factor_);
}

void Hydraulics::refresh(std::size_t pump) {
    hand_back();
    Branch& branch = branches_[pump];
    set_branch(branch, curve_, station_.pump.branch_loss_s2m5, branch.speed_ratio, air_factor_);
    valves_settled_ = false;
    at_rest_ = false;
}

void Hydraulics::set_wear(std::size_t pump, double head_factor) {
    branches_.at(pump).faults.head_factor = std::clamp(head_factor, 0.0, 1.0);
    refresh(pump);
}

void Hydraulics::set_blockage(std::size_t pump, double blocked_share) {
    branches_.at(pump).faults.blockage = std::clamp(blocked_share, 0.0, 1.0);
    refresh(pump);
}

void Hydraulics::set_valve_stuck_open(std::size_t pump, bool stuck) {
    branches_.at(pump).faults.stuck_open = stuck;
    refresh(pump);
}

void Hydraulics::set_speeds(const HydraulicInputs& inputs) {
    turning_any_ = false;
    for (std::size_t i = 0; i < pumps_; ++i) {
        const double speed = std::max(0.0, inputs.speed_ratio[i]);
        turning_any_ = turning_any_ || speed > 0;
        if (speed == branches_[i].speed_ratio) continue;
        set_branch(branches_[i], curve_, station_.pump.branch_loss_s2m5, speed, air_factor_);
    }
}

void Hydraulics::set_air(double suction_surface_m) {
    const double target = air_factor_at(suction_surface_m, air_from_m_, air_per_m_);
    const double gap = target - air_factor_;
    if (gap == 0) return;
    const double factor =
        std::abs(gap) < 1e-3 ? target : air_factor_ + gap * std::min(1.0, dt_s_ / air_passes_s);
    hand_back();
    air_factor_ = factor;
    for (std::size_t i = 0; i < pumps_; ++i) {
        set_branch(branches_[i], curve_, station_.pump.branch_loss_s2m5, branches_[i].speed_ratio, factor);
    }
}

bool Hydraulics::stays_at_rest(const HydraulicInputs& inputs) const {
    if (!at_rest_) return false;
    bool stopped = true;
    for (std::size_t i = 0; i < pumps_; ++i) stopped &= inputs.speed_ratio[i] <= 0;
    return stopped;
}

/// Newton on all flows at once from where the last step left them. False: a valve wants to move, or no
/// settling.
template <class System>
bool Hydraulics::solve_settled(const System& system, double& unknown) {
    std::array<double, 8> flow{};
    std::array<double, 8> change{};
    std::array<double, 8> per_slope{};
    std::array<const CurvePiece*, 8> piece{};
    std::array<std::size_t, 8> forward{};
    std::size_t count = 0;
    double shut_off_most = -1e300;
    for (std::size_t i = 0; i < pumps_; ++i) {
        const Branch& branch = branches_[i];
        if (branch.opening > 0) {
            forward[count] = i;
            flow[count] = branch.flow_m3s;
            piece[count] = branch.piece;
            ++count;
        } else if (!branch.wholly_blocked) {
            shut_off_most = std::max(shut_off_most, branch.shut_off_m);
        }
    }
    double z = system.guess;
    double lift = 0;
    bool settled = false;
    for (int pass = 0; pass < newton_passes_max && !settled; ++pass) {
        const Balance reading = system.at(z);
        double sum = 0;
        double sum_slope = 0;
        for (std::size_t j = 0; j < count; ++j) {
            const Branch& branch = branches_[forward[j]];
            double head = 0;
            double slope = 0;
            if (flow[j] < 0) {
                slope = 2 * branch.reverse_loss_s2m5 * flow[j];
                head = branch.shut_off_m + 0.5 * slope * flow[j];
            } else {
                const double x = flow[j] * branch.per_speed;
                piece[j] = curve_.piece(x, piece[j]);
                const double t = x - piece[j]->from_m3s;
                head = branch.head_scale * value_at(piece[j]->head, t) - branch.loss_s2m5 * flow[j] * flow[j];
                slope = branch.slope_scale * slope_at(piece[j]->head, t) - 2 * branch.loss_s2m5 * flow[j];
            }
            per_slope[j] = 1 / slope;
            change[j] = (reading.lift_m - head) * per_slope[j];
            sum += flow[j] + change[j];
            sum_slope += per_slope[j];
        }
        const double step = (sum - reading.out_m3s) / (reading.out_slope - sum_slope * reading.lift_slope);
        const double lift_step = reading.lift_slope * step;
        z += step;
        lift = reading.lift_m + lift_step;
        double largest = 0;
        for (std::size_t j = 0; j < count; ++j) {
            const double moved = change[j] + lift_step * per_slope[j];
            // A flow that would turn, or is not a number, leaves for the bracketed solve.
            if (!((flow[j] + moved) * flow[j] > 0)) return false;
            flow[j] += moved;
            largest = std::max(largest, std::abs(moved));
        }
        settled = count > 0 ? largest <= settled_change * flow_scale_m3s_
                            : std::abs(step) <= settled_change * system.first_stride(flow_scale_m3s_);
    }
    if (!settled || lift < shut_off_most) return false;
    for (std::size_t j = 0; j < count; ++j) {
        Branch& branch = branches_[forward[j]];
        branch.flow_m3s = flow[j];
        branch.piece = piece[j];
    }
    unknown = z;
    return true;
}

/// Newton held inside a bracket that closes; decides afresh which valves are open.
template <class System>
double Hydraulics::solve_bracketed(const System& system) {
    std::array<double, 8> reverse{};
    for (std::size_t i = 0; i < pumps_; ++i) {
        const Branch& branch = branches_[i];
        if (!may_drain_back_) continue;
        reverse[i] = branch.faults.stuck_open
                         ? 1
                         : opening_after_reversal(branch.opening, dt_s_, station_.pump.valve_closing_s);
    }
    double slope = 0;
    // Pumped less what leaves: falls as the unknown rises.
    const auto surplus = [&](double z) {
        const Balance reading = system.at(z);
        double sum = 0;
        double sum_slope = 0;
        for (std::size_t i = 0; i < pumps_; ++i) {
            const BranchFlow flow = branch_flow(branches_[i], curve_, reading.lift_m, reverse[i]);
            sum += flow.flow_m3s;
            sum_slope += flow.slope_m2s;
        }
        slope = sum_slope * reading.lift_slope - reading.out_slope;
        return sum - reading.out_m3s;
    };
    double z = system.guess;
    double value = surplus(z);
    double low = z;
    double high = z;
    double stride = system.first_stride(flow_scale_m3s_);
    if (value > 0) {
        for (int i = 0; i < widenings_max; ++i) {
            low = high;
            high += stride;
            if (surplus(high) <= 0) break;
            stride *= 2;
        }
    } else if (value < 0) {
        for (int i = 0; i < widenings_max; ++i) {
            high = low;
            low -= stride;
            if (surplus(low) >= 0) break;
            stride *= 2;
        }
    }
    // Newton from the end nearer the answer; a pass that does not halve what is left over halves the bracket
    // instead, so that a root beside an infinite slope is closed in on just as well.
    const double unknown_resolution = 1e-14 * system.first_stride(flow_scale_m3s_);
    const double flow_resolution = 1e-13 * flow_scale_m3s_;
    double left_before = std::numeric_limits<double>::infinity();
    z = 0.5 * (low + high);
    for (int i = 0; i < bracketed_passes_max && high - low > unknown_resolution; ++i) {
        value = surplus(z);
        const double left = std::abs(value);
        if (left <= flow_resolution) break;
        (value > 0 ? low : high) = z;
        double next = z - value / slope;
        if (!(next > low && next < high) || left > 0.5 * left_before) {
            next = 0.5 * (low + high);
            left_before = std::numeric_limits<double>::infinity();
        } else {
            left_before = left;
        }
        z = next;
    }
    const double lift = system.at(z).lift_m;
    valves_settled_ = true;
    for (std::size_t i = 0; i < pumps_; ++i) {
        Branch& branch = branches_[i];
        branch.flow_m3s = branch_flow(branch, curve_, lift, reverse[i]).flow_m3s;
        branch.opening = branch.flow_m3s > 0 ? 1 : reverse[i];
        if (branch.flow_m3s > 0) {
            branch.piece = curve_.piece(branch.flow_m3s * branch.per_speed, branch.piece);
        } else if (branch.opening > 0 && !(branch.faults.stuck_open && branch.flow_m3s < 0)) {
            valves_settled_ = false;
        }
    }
    return z;
}

template <class System>
Hydraulics::Solved Hydraulics::solve_exactly(const System& system) {
    Solved solved;
    if (!(valves_settled_ && solve_settled(system, solved.unknown))) {
        solved.unknown = solve_bracketed(system);
    }
    for (std::size_t i = 0; i < pumps_; ++i) solved.flow_m3s += branches_[i].flow_m3s;
    solved.lift_m = system.at(solved.unknown).lift_m;
    if (turning_any_ && valves_settled_ && air_factor_ == 1) {
        lanes_.refresh(std::span(branches_).first(pumps_), curve_);
    }
    return solved;
}

template <class System>
Hydraulics::Solved Hydraulics::solve(const System& system, const HydraulicInputs& inputs) {
    if (lanes_.ready()) {
        const SettledLanes::Solution pass = lanes_.pass(inputs.speed_ratio, system.at(system.guess));
        valves_stand_ = pass.taken;
        if (pass.taken) return {system.guess + pass.step, pass.lift_m, pass.flow_m3s};
        hand_back();
    }
    valves_stand_ = false;
    set_speeds(inputs);
    return solve_exactly(system);
}

/// Weir with the level at the end of the step; takes the overflow from the volume.
double Hydraulics::overflow_over_step() {
    const double level = storage_.level_m(volume_m3_.value());
    state_.overflow_m3s = 0;
    const double head = level - crest_m_;
    if (head <= 0 || weir_step_m15_ <= 0) return level;
    const double area = 1 / storage_.per_area_m2();
    const double gone = (head - weir_head_after_step_m(head, area, weir_step_m15_)) * area;
    volume_m3_.add(-gone);
    overflow_m3_.add(gone);
    state_.overflow_m3s = gone / dt_s_;
    return storage_.level_m(volume_m3_.value());
}

const HydraulicState& Hydraulics::step(double dt_s, const HydraulicInputs& inputs) {
    if (dt_s != dt_s_) set_step(dt_s);
    switch (station_.duty) {
        case config::Duty::empty_well:
            step_well(inputs);
            break;
        case config::Duty::fill_tank:
            step_tank(inputs);
            break;
        case config::Duty::hold_pressure:
            step_header(inputs);
            break;
    }
    state_.volume_m3 = volume_m3_.value();
    state_.inflow_m3 = inflow_m3_.value();
    state_.pumped_m3 = pumped_m3_.value();
    state_.overflow_m3 = overflow_m3_.value();
    return state_;
}

/// True while nothing has moved since the flows were last solved by more than hardly changes them.
bool Hydraulics::holds(const HydraulicInputs& inputs, double moving_head_m) const {
    return lanes_.ready() && held_ && std::abs(moving_head_m - held_head_m_) <= hold_head_m_ &&
           lanes_.speeds_within(inputs.speed_ratio, hold_speed_);
}

/// Flows may be held from here if the column has stopped changing its pace.
void Hydraulics::hold_from(double flow_before_m3s, double moving_head_m) {
    held_ =
        lanes_.ready() && std::abs(inertia_per_step_ * (main_flow_m3s_ - flow_before_m3s)) <= hold_head_m_;
    held_head_m_ = moving_head_m;
    held_step_m3_ = main_flow_m3s_ * dt_s_;
}

void Hydraulics::share_what_is_there(double share) {
    hand_back();
    for (std::size_t i = 0; i < pumps_; ++i) branches_[i].flow_m3s *= share;
    main_flow_m3s_ *= share;
}

void Hydraulics::step_well(const HydraulicInputs& inputs) {
    const double inflow = std::max(0.0, inputs.inflow_m3s);
    const double gained = inflow * dt_s_;
    inflow_m3_.add(gained);
    if (state_.level_m < discharge_m_ && stays_at_rest(inputs)) {
        volume_m3_.add(gained);
        state_.level_m = overflow_over_step();
        return;
    }
    const double ready = volume_m3_.value() - storage_.floor_volume_m3() + gained;
    if (holds(inputs, state_.level_m) && held_step_m3_ <= ready) {
        pumped_m3_.add(held_step_m3_);
        volume_m3_.add(gained - held_step_m3_);
        state_.level_m = overflow_over_step();
        return;
    }
    if (state_.level_m < air_from_m_ || air_factor_ != 1) set_air(state_.level_m);
    const double before = main_flow_m3s_;
    const double level_before = state_.level_m;
    const double level_per_flow = dt_s_ * storage_.per_area_m2();
    const double free_level = state_.level_m + (inflow - state_.overflow_m3s) * level_per_flow;
    const Column column{loss_, discharge_m_ - free_level - inertia_per_step_ * before,
                        inertia_per_step_ + level_per_flow, before};
    may_drain_back_ = true;
    const Solved solved = solve(column, inputs);
    main_flow_m3s_ = solved.flow_m3s;
    double header = solved.lift_m + free_level - level_per_flow * solved.flow_m3s;
    double pumped = main_flow_m3s_ * dt_s_;
    if (pumped > ready) {
        // The well is empty: the column draws air, and what is there is shared among the pumps.
        share_what_is_there(std::max(0.0, ready) / pumped);
        pumped = main_flow_m3s_ * dt_s_;
        header = discharge_m_ + loss_.at(main_flow_m3s_).loss_m;
    }
    pumped_m3_.add(pumped);
    volume_m3_.add(gained - pumped);
    state_.level_m = overflow_over_step();
    state_.delivered_m3s = main_flow_m3s_;
    report(state_.level_m, header);
    hold_from(before, level_before);
}

void Hydraulics::step_tank(const HydraulicInputs& inputs) {
    const double demand = std::max(0.0, inputs.inflow_m3s);
    const double suction = station_.suction_head_m;
    const bool drowned = state_.level_m >= discharge_m_;
    const bool rest = suction < discharge_m_ && stays_at_rest(inputs);
    const double moving_head = drowned ? state_.level_m : discharge_m_;
    const bool held = !rest && holds(inputs, moving_head);
    double pumped = 0;
    double header = std::max(discharge_m_, state_.level_m);
    if (held) {
        pumped = held_step_m3_;
        pumped_m3_.add(pumped);
    } else if (!rest) {
        const double before = main_flow_m3s_;
        const double level_per_flow = dt_s_ * storage_.per_area_m2();
        const double free_level = state_.level_m - (demand + state_.overflow_m3s) * level_per_flow;
        const Column column{loss_,
                            (drowned ? free_level : discharge_m_) - suction - inertia_per_step_ * before,
                            inertia_per_step_ + (drowned ? level_per_flow : 0), before};
        if (drowned != may_drain_back_) {
            hand_back();
            valves_settled_ = false;
            may_drain_back_ = drowned;
        }
        const Solved solved = solve(column, inputs);
        main_flow_m3s_ = solved.flow_m3s;
        header = solved.lift_m + suction;
        pumped = main_flow_m3s_ * dt_s_;
        const double stored = volume_m3_.value() - storage_.floor_volume_m3();
        if (-pumped > stored) {
            // A tank cannot give back more than it holds.
            share_what_is_there(std::max(0.0, stored) / -pumped);
            pumped = main_flow_m3s_ * dt_s_;
        }
        pumped_m3_.add(pumped);
        hold_from(before, moving_head);
    }
    const double there = std::max(0.0, volume_m3_.value() - storage_.floor_volume_m3() + pumped);
    const double drawn = std::min(demand * dt_s_, there);
    inflow_m3_.add(drawn);
    volume_m3_.add(pumped - drawn);
    state_.delivered_m3s = drawn / dt_s_;
    state_.level_m = overflow_over_step();
    if (rest) {
        state_.header_head_m = header;
        state_.header_pressure_m = header - centre_line_m_;
    } else if (!held) {
        report(suction, header);
    }
}

void Hydraulics::step_header(const HydraulicInputs& inputs) {
    const double suction = station_.suction_head_m;
    const Header header{
        header_storage_,    suction,   centre_line_m_, discharge_m_, std::max(0.0, inputs.inflow_m3s),
        volume_m3_.value(), 1 / dt_s_, header_head_m_};
    may_drain_back_ = true;
    const Solved solved = solve(header, inputs);
    header_head_m_ = solved.unknown;
    const double pumped = solved.flow_m3s * dt_s_;
    double slope = 0;
    main_flow_m3s_ = header.delivered(header_head_m_, slope);
    const double drawn = main_flow_m3s_ * dt_s_;
    pumped_m3_.add(pumped);
    inflow_m3_.add(drawn);
    volume_m3_.add(pumped - drawn);
    state_.delivered_m3s = main_flow_m3s_;
    report(suction, header_head_m_);
}

void Hydraulics::report(double suction_m, double header_m) {
    state_.header_head_m = header_m;
    state_.header_pressure_m = header_m - centre_line_m_;
    state_.below_vapour_pressure = state_.header_pressure_m < vapour_head_m_;
    state_.main_flow_m3s = main_flow_m3s_;
    state_.main_velocity_ms = main_flow_m3s_ * per_bore_m2_;
    const bool draws_down = air_per_m_ > 0 && turning_any_;
    state_.suction_dry = draws_down && suction_m < air_from_m_;
    state_.vortex = draws_down && suction_m < vortex_m_;
    const double npsh_available = npsh_offset_m_ + suction_m;
    if (lanes_.ready()) {
        lanes_.report(npsh_available, curve_.rated_speed_rad_s(), station_.pump.minimum_flow_m3s,
                      judged_from_speed,
                      {state_.flow_m3s, state_.shaft_torque_nm, state_.shaft_power_w, state_.npsh_margin_m,
                       state_.below_minimum_flow});
    } else {
        report_branches(npsh_available);
    }
    const double flow_before = std::exchange(flow_before_m3s_, main_flow_m3s_);
    if (valves_stand_) return;
    bool open = false;
    for (std::size_t i = 0; i < pumps_; ++i) {
        state_.backflow[i] = branches_[i].flow_m3s < 0;
        state_.valve_open[i] = branches_[i].opening > 0;
        open = open || branches_[i].opening > 0;
    }
    // The step that brings the column to rest still shows the head that stopped it; rest begins with the
    // next.
    at_rest_ = !turning_any_ && !open && main_flow_m3s_ == 0 && flow_before == 0;
}

void Hydraulics::report_branches(double npsh_available_m) {
    for (std::size_t i = 0; i < pumps_; ++i) {
        const Branch& branch = branches_[i];
        const double flow = branch.flow_m3s;
        const double s = branch.speed_ratio;
        const bool forward = flow > 0;
        const double t = forward ? flow * branch.per_speed - branch.piece->from_m3s : 0;
        const CurvePiece& piece = forward ? *branch.piece : *curve_.first_piece();
        const double torque = s * s * branch.air_factor * value_at(piece.torque, t);
        state_.flow_m3s[i] = flow;
        state_.shaft_torque_nm[i] = torque;
        state_.shaft_power_w[i] = torque * s * curve_.rated_speed_rad_s();
        state_.npsh_margin_m[i] = s > 0 ? npsh_available_m - s * s * value_at(piece.npshr, t) : 0;
        state_.below_minimum_flow[i] = s >= judged_from_speed && flow < s * station_.pump.minimum_flow_m3s;
    }
}

double Hydraulics::volume_error_m3() const {
    const double sign = station_.duty == config::Duty::empty_well ? 1 : -1;
    const double change = volume_m3_.value() - initial_volume_m3_ - volume_m3_.carry();
    const double inflow = inflow_m3_.value() - inflow_m3_.carry();
    const double pumped = pumped_m3_.value() - pumped_m3_.carry();
    const double overflow = overflow_m3_.value() - overflow_m3_.carry();
    return sign * (inflow - pumped) - overflow - change;
}

double Hydraulics::trip_surge_head_m() const {
    return plant::trip_surge_head_m(station_.main, main_flow_m3s_);
}

}  // namespace freshet::plant
