// Steps of the water side; see the header for the equations and their limits.
//
// One reason to change: how store, main and pumps share one step in each duty.
#include "sim_plant/physics/hydraulics.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "config/hydraulics/gravity.hpp"
#include "sim_plant/physics/header_balance.hpp"
#include "sim_plant/physics/hydraulic_contradictions.hpp"

namespace freshet::plant {
namespace {

/// Time in which an impeller fills with air or loses its air, s. Our choice, of the order of the time that
/// water takes through the impeller.
constexpr double air_passes_s = 1;
/// Settled flows are kept while the lift changes by less than this share of the shut-off head (half a
/// millimetre in 50 m). The error of the flow is far below the resolution of a flow meter.
constexpr double hold_ratio = 1e-5;
/// The table continues this far beyond the flow of all pumps at their last catalogue points.
constexpr double table_reserve = 1.2;

const config::Station& checked(const config::Station& station) {
    const auto findings = hydraulic_contradictions(station);
    if (!findings.empty()) throw std::invalid_argument(findings.front());
    return station;
}

/// A pressure station has no store. A prism takes the place of the store, so that every duty has the same
/// kind of object.
std::vector<config::StoragePoint> storage_of(const config::Station& station) {
    if (station.duty == config::Duty::hold_pressure) return {{0, 0}, {1, 1}};
    return station.well.storage;
}

/// The share of the head that remains when the suction draws air.
double air_factor_at(double level_m, double from_m, double per_m) {
    return std::clamp(1 - (from_m - level_m) * per_m, 0.0, 1.0);
}

}  // namespace

Hydraulics::Hydraulics(const config::Station& station, double initial_m)
    : station_(checked(station)),
      pumps_(station),
      loss_(station.main, station.fluid,
            table_reserve * station.pump_count * pumps_.curve().largest_flow_m3s()),
      storage_(storage_of(station)),
      header_storage_(station),
      inertia_s2m2_(config::column_inertia_s2m2(station.main)) {
    const config::PumpCurve& curve = pumps_.curve();
    centre_line_m_ = station.well.suction_level_m;
    discharge_m_ = station.main.discharge_level_m;
    vortex_m_ = station.well.vortex_level_m;
    hold_head_m_ = hold_ratio * curve.shut_off_head_m();
    hold_speed_ = 0.5 * hold_ratio;  // head depends on the square of speed
    crest_m_ = station.well.overflow_level_m;
    const double weight = curve.specific_weight_nm3();
    vapour_head_m_ = (station.fluid.vapour_pressure_pa - config::atmosphere_pa) / weight;
    npsh_offset_m_ = -vapour_head_m_ - station.well.suction_level_m;
    air_from_m_ = station.well.suction_level_m;
    const double air_band = 0.5 * (air_from_m_ - storage_.floor_level_m());
    air_per_m_ = station.duty == config::Duty::empty_well && air_band > 0 ? 1 / air_band : 0;

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
    // The quick pass keeps slopes that are valid for one length of step only.
    pumps_.unsettle();
}

void Hydraulics::set_wear(std::size_t pump, double head_factor) {
    pumps_.set_wear(pump, head_factor);
    at_rest_ = false;
}

void Hydraulics::set_blockage(std::size_t pump, double blocked_share) {
    pumps_.set_blockage(pump, blocked_share);
    at_rest_ = false;
}

void Hydraulics::set_valve_stuck_open(std::size_t pump, bool stuck) {
    pumps_.set_valve_stuck_open(pump, stuck);
    at_rest_ = false;
}

/// The air in the suctions follows the level within about a second.
void Hydraulics::follow_air(double suction_surface_m) {
    const double target = air_factor_at(suction_surface_m, air_from_m_, air_per_m_);
    const double gap = target - pumps_.air_factor();
    if (gap == 0) return;
    pumps_.set_air_factor(
        std::abs(gap) < 1e-3 ? target : pumps_.air_factor() + gap * std::min(1.0, dt_s_ / air_passes_s));
}

bool Hydraulics::stays_at_rest(const HydraulicInputs& inputs) const {
    if (!at_rest_) return false;
    bool stopped = true;
    for (std::size_t i = 0; i < station_.pump_count; ++i) stopped &= inputs.speed_ratio[i] <= 0;
    return stopped;
}

/// The weir, with the level at the end of the step. Takes the overflow from the volume.
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

/// True while all changes since the last solution are too small to change the flows noticeably.
bool Hydraulics::holds(const HydraulicInputs& inputs, double moving_head_m) const {
    return pumps_.settled() && held_ && std::abs(moving_head_m - held_head_m_) <= hold_head_m_ &&
           pumps_.speeds_within(inputs.speed_ratio, hold_speed_);
}

/// Permits held flows from now on, if the flow of the column is steady.
void Hydraulics::hold_from(double flow_before_m3s, double moving_head_m) {
    held_ =
        pumps_.settled() && std::abs(inertia_per_step_ * (main_flow_m3s_ - flow_before_m3s)) <= hold_head_m_;
    held_head_m_ = moving_head_m;
    held_step_m3_ = main_flow_m3s_ * dt_s_;
}

/// The store holds less water than the step would take. Every flow becomes this share of itself.
void Hydraulics::scale_flows(double share) {
    pumps_.scale_flows(share);
    main_flow_m3s_ *= share;
}

/// Emptying: the suction level falls with the volume that is pumped within the step.
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
    if (state_.level_m < air_from_m_ || pumps_.air_factor() != 1) follow_air(state_.level_m);
    const double before = main_flow_m3s_;
    const double level_before = state_.level_m;
    const double level_per_flow = dt_s_ * storage_.per_area_m2();
    const double free_level = state_.level_m + (inflow - state_.overflow_m3s) * level_per_flow;
    const MainColumn column{loss_, discharge_m_ - free_level - inertia_per_step_ * before,
                            inertia_per_step_ + level_per_flow, before};
    const PumpGroup::Solved solved = pumps_.solve(column, inputs.speed_ratio, dt_s_);
    main_flow_m3s_ = solved.flow_m3s;
    double header = solved.lift_m + free_level - level_per_flow * solved.flow_m3s;
    double pumped = main_flow_m3s_ * dt_s_;
    if (pumped > ready) {
        // The well is empty: the column draws air, and the pumps share the water that is left.
        scale_flows(std::max(0.0, ready) / pumped);
        pumped = main_flow_m3s_ * dt_s_;
        header = discharge_m_ + loss_.at(main_flow_m3s_).loss_m;
    }
    pumped_m3_.add(pumped);
    volume_m3_.add(gained - pumped);
    state_.level_m = overflow_over_step();
    report(state_.level_m, header);
    hold_from(before, level_before);
}

/// Filling: a drowned discharge level rises with the volume that is pumped within the step.
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
        const MainColumn column{loss_,
                                (drowned ? free_level : discharge_m_) - suction - inertia_per_step_ * before,
                                inertia_per_step_ + (drowned ? level_per_flow : 0), before};
        pumps_.set_drain_back(drowned);
        const PumpGroup::Solved solved = pumps_.solve(column, inputs.speed_ratio, dt_s_);
        main_flow_m3s_ = solved.flow_m3s;
        header = solved.lift_m + suction;
        pumped = main_flow_m3s_ * dt_s_;
        const double stored = volume_m3_.value() - storage_.floor_volume_m3();
        if (-pumped > stored) {
            // A tank cannot return more water than the tank holds.
            scale_flows(std::max(0.0, stored) / -pumped);
            pumped = main_flow_m3s_ * dt_s_;
        }
        pumped_m3_.add(pumped);
        hold_from(before, moving_head);
    }
    const double there = std::max(0.0, volume_m3_.value() - storage_.floor_volume_m3() + pumped);
    const double drawn = std::min(demand * dt_s_, there);
    inflow_m3_.add(drawn);
    volume_m3_.add(pumped - drawn);
    state_.level_m = overflow_over_step();
    if (rest) {
        state_.header_head_m = header;
        state_.header_pressure_m = header - centre_line_m_;
    } else if (!held) {
        report(suction, header);
    }
}

/// Pressure: the header delivers the demand.
void Hydraulics::step_header(const HydraulicInputs& inputs) {
    const double suction = station_.suction_head_m;
    const PressureHeader header{
        header_storage_,    suction,   centre_line_m_, discharge_m_, std::max(0.0, inputs.inflow_m3s),
        volume_m3_.value(), 1 / dt_s_, header_head_m_};
    const PumpGroup::Solved solved = pumps_.solve(header, inputs.speed_ratio, dt_s_);
    header_head_m_ = solved.unknown;
    const double pumped = solved.flow_m3s * dt_s_;
    double slope = 0;
    main_flow_m3s_ = header.delivered_m3s(header_head_m_, slope);
    const double drawn = main_flow_m3s_ * dt_s_;
    pumped_m3_.add(pumped);
    inflow_m3_.add(drawn);
    volume_m3_.add(pumped - drawn);
    report(suction, header_head_m_);
}

void Hydraulics::report(double suction_m, double header_m) {
    state_.header_head_m = header_m;
    state_.header_pressure_m = header_m - centre_line_m_;
    state_.below_vapour_pressure = state_.header_pressure_m < vapour_head_m_;
    state_.main_flow_m3s = main_flow_m3s_;
    const bool draws_down = air_per_m_ > 0 && pumps_.turning_any();
    state_.suction_dry = draws_down && suction_m < air_from_m_;
    state_.vortex = draws_down && suction_m < vortex_m_;
    pumps_.report(npsh_offset_m_ + suction_m, {state_.flow_m3s, state_.shaft_torque_nm, state_.shaft_power_w,
                                               state_.npsh_margin_m, state_.below_minimum_flow});
    const double flow_before = std::exchange(flow_before_m3s_, main_flow_m3s_);
    if (pumps_.valves_unmoved()) return;
    bool open = false;
    for (std::size_t i = 0; i < station_.pump_count; ++i) {
        const Branch& branch = pumps_.branch(i);
        state_.backflow[i] = branch.flow_m3s < 0;
        open = open || branch.opening > 0;
    }
    // The step in which the column comes to rest shows the head that stopped the column. Rest begins with the
    // next step.
    at_rest_ = !pumps_.turning_any() && !open && main_flow_m3s_ == 0 && flow_before == 0;
}

double Hydraulics::volume_error_m3() const {
    const double sign = station_.duty == config::Duty::empty_well ? 1 : -1;
    const double change = volume_m3_.value() - initial_volume_m3_ - volume_m3_.carry();
    const double inflow = inflow_m3_.value() - inflow_m3_.carry();
    const double pumped = pumped_m3_.value() - pumped_m3_.carry();
    const double overflow = overflow_m3_.value() - overflow_m3_.carry();
    return sign * (inflow - pumped) - overflow - change;
}

}  // namespace freshet::plant
