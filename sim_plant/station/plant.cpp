// Builds the station and steps the station. The header gives the order within a step.
//
// One reason to change: how the parts of the station meet in a step.
#include "sim_plant/station/plant.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>
#include <type_traits>

#include "sim_plant/physics/surge.hpp"
#include "sim_plant/station/part_seeds.hpp"
#include "sim_plant/station/plant_parts.hpp"

namespace freshet::plant {
namespace {

using config::index_of;
using config::PumpSignal;
using config::StationSignal;

constexpr double s_per_ms = 0.001;
constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
constexpr double deg_per_rad = 57.29577951308232;

// A calm station takes one step a second and reads its meters once a second.
constexpr std::int64_t calm_step_ms = metering_ms;
// In a calm station the flow of the main changes by at most this share in a second.
constexpr double calm_flow_ratio_per_s = 0.02, calm_flow_floor_m3s = 1e-4;
// In a calm station the reference has moved by at most this frequency since the last step.
constexpr double calm_reference_hz = 0.5;

double bit(bool on) {
    return on ? 1.0 : 0.0;
}

}  // namespace

Plant::Parts::Parts(const config::Station& station, const config::Scenario& scenario, std::int32_t scan_ms)
    : duty(station.duty),
      pump_count(station.pump_count),
      start_ms(scenario.start_ms),
      stepped_to_ms(scenario.start_ms),
      inflow(scenario.weather, scenario.start_ms, scenario.duration_s,
             part_seed(scenario.seed, PartSeed::inflow)),
      machines(station, part_seed(scenario.seed, PartSeed::machines)),
      water(station, scenario.initial_level_m),
      instruments(station, scenario, scan_ms),
      wires(part_seed(scenario.seed, PartSeed::wires)),
      book(scenario, station.pump_count),
      people(scenario),
      keeper(station, scenario.start_ms, held_m()),
      water_keeper(station.pump_count),
      main(station.main) {
    if (duty != config::Duty::empty_well) demand.emplace(scenario.demand_m3s, scenario.start_ms);
    instruments.settle(water.state().level_m, water.state().header_pressure_m);
    ratio_per_rad_s = 1 / machines.rated_speed_rad_s();
    routed.reserve(book.in_force().capacity());
}

Orders Plant::Parts::as_people_let_pass(const Orders& given) const {
    Orders let = given;
    for (std::size_t pump = 0; pump < pump_count; ++pump) {
        if (panels[pump].selector == SelectorPosition::automatic) continue;
        let.pumps[pump] = {false, panels[pump].runs_by_hand};
    }
    return let;
}

void Plant::Parts::note_contacts(std::int64_t begin_ms, std::int64_t end_ms) {
    const PowerTrainState& electrical = machines.state();
    for (const ClosingRecord& closing : machines.closings()) {
        if (closing.contactor == ContactorAt::drive_output) continue;
        keeper.closing({static_cast<double>(begin_ms) + closing.at_s / s_per_ms, closing});
    }
    for (std::size_t pump = 0; pump < pump_count; ++pump) {
        const MotorState& motor = electrical.motors[pump];
        const Contacts now{motor.drive_side_closed, motor.line_side_closed,
                           motor.mode >= MotorMode::on_drive};
        if (now == contacts[pump]) continue;
        contacts[pump] = now;
        double at_ms = static_cast<double>(end_ms), angle_deg = 0;
        for (const ClosingRecord& closing : machines.closings()) {
            if (closing.pump != pump || closing.contactor == ContactorAt::drive_output) continue;
            at_ms = static_cast<double>(begin_ms) + closing.at_s / s_per_ms;
            angle_deg = closing.angle_deg;
        }
        keeper.contacts(pump, now, at_ms, angle_deg);
    }
}

bool Plant::Parts::may_wait(const Orders& given) const {
    static_assert(std::has_unique_object_representations_v<decltype(given.pumps)>);
    return given.drive_run == orders.drive_run && given.synchronise == orders.synchronise &&
           given.output_close == orders.output_close &&
           std::memcmp(&given.pumps, &orders.pumps, sizeof given.pumps) == 0 &&
           std::abs(given.speed_hz - stepped_reference_hz) <= calm_reference_hz;
}

bool Plant::Parts::is_calm(double flow_before_m3s, double dt_s) const {
    // A pressure station must step at every scan, because pressure follows every change of demand at once.
    if (duty == config::Duty::hold_pressure || !machines.settled() || !wires.sound()) return false;
    for (std::size_t pump = 0; pump < pump_count; ++pump)
        if (machines.state().motors[pump].mode == MotorMode::coasting) return false;
    const double flow_m3s = water.state().main_flow_m3s;
    return std::abs(flow_m3s - flow_before_m3s) <=
           (std::abs(flow_m3s) + calm_flow_floor_m3s) * calm_flow_ratio_per_s * dt_s;
}

std::int64_t Plant::Parts::next_due_ms() const {
    std::int64_t due = start_ms + ((stepped_to_ms - start_ms) / calm_step_ms + 1) * calm_step_ms;
    return std::min(
        {due, book.next_due_ms(), instruments.next_level_ms(), people.next_press_change_ms(stepped_to_ms)});
}

void Plant::Parts::advance(std::int64_t to_ms) {
    const std::int64_t begin_ms = stepped_to_ms;
    const double dt_s = static_cast<double>(to_ms - begin_ms) * s_per_ms;
    const HydraulicState& state = water.state();
    const double flow_before_m3s = state.main_flow_m3s;
    const Orders* followed = &orders;
    if (people_interfere) {
        passed = as_people_let_pass(orders);
        followed = &passed;
    }
    const PowerTrainState& electrical = machines.step(dt_s, *followed, state.shaft_torque_nm);

    const double middle_s =
        (static_cast<double>(begin_ms - start_ms) + 0.5 * static_cast<double>(to_ms - begin_ms)) * s_per_ms;
    hydraulic_inputs.inflow_m3s = inflow_at(middle_s);
    for (std::size_t pump = 0; pump < pump_count; ++pump)
        hydraulic_inputs.speed_ratio[pump] = electrical.motors[pump].speed_rad_s * ratio_per_rad_s;
    water.step(dt_s, hydraulic_inputs);
    water_keeper.step(dt_s, state, hydraulic_inputs.speed_ratio);

    stepped_to_ms = to_ms;
    stepped_reference_hz = orders.speed_hz;
    note_contacts(begin_ms, to_ms);
    keeper.level(held_m());
    if (to_ms >= keeper.next_price_ms()) keeper.energy(to_ms, electrical.energy_j);
    calm = is_calm(flow_before_m3s, dt_s);
}

Plant::Plant(const config::Station& station, const config::Scenario& scenario, std::int32_t scan_ms)
    : time_ms_(scenario.start_ms),
      scan_ms_(scan_ms),
      parts_(std::make_unique<Parts>(station, scenario, scan_ms)) {
    readings_.fill(nothing);
    parts_->hydraulic_inputs.inflow_m3s = parts_->inflow_at(0);
    if (parts_->book.advance(time_ms_)) change_faults();
    read_instruments();
}

Plant::~Plant() = default;
Plant::Plant(Plant&&) noexcept = default;
Plant& Plant::operator=(Plant&&) noexcept = default;

void Plant::step() {
    step(parts_->orders);
}

void Plant::step(const Orders& orders) {
    Parts& parts = *parts_;
    const bool waits = parts.calm && parts.may_wait(orders);
    if (waits && time_ms_ + 2 * scan_ms_ <= parts.due_ms) {
        parts.orders.speed_hz = orders.speed_hz;
        time_ms_ += scan_ms_;
        readings_[index_of(StationSignal::plant_time)] = static_cast<double>(time_ms_);
        only_clock_ = true;
        return;
    }
    only_clock_ = false;
    // The station has not yet stepped through the time of the wait. The previous orders were in force then,
    // so the station takes that step before the new orders apply.
    if (!waits && parts.stepped_to_ms < time_ms_) parts.advance(time_ms_);
    parts.orders = orders;
    time_ms_ += scan_ms_;
    parts.advance(time_ms_);
    if (parts.book.next_due_ms() <= time_ms_ && parts.book.advance(time_ms_)) change_faults();
    read_instruments();
    parts.due_ms = parts.next_due_ms();
}

void Plant::read_instruments() {
    Parts& parts = *parts_;
    const HydraulicState& water = parts.water.state();
    const PowerTrainState& electrical = parts.machines.state();
    const auto put = [this](StationSignal signal, double value) { readings_[index_of(signal)] = value; };

    put(StationSignal::plant_time, static_cast<double>(time_ms_));
    parts.instruments.read(water.level_m, water.header_pressure_m, time_ms_, readings_);
    put(StationSignal::station_flow, water.main_flow_m3s);
    put(StationSignal::emergency_stop, bit(parts.emergency_stop));
    put(StationSignal::emergency_stop_reset, bit(parts.people.presses_reset_at(time_ms_)));
    put(StationSignal::on_generator, bit(electrical.on_generator));
    put(StationSignal::line_voltage, electrical.line_voltage_v);
    put(StationSignal::line_frequency, electrical.line_frequency_hz);
    put(StationSignal::drive_ready, bit(electrical.drive_ready));
    put(StationSignal::drive_running, bit(electrical.drive_running));
    put(StationSignal::drive_tripped, bit(electrical.drive_tripped));
    put(StationSignal::drive_in_sync, bit(electrical.drive_in_sync));
    put(StationSignal::drive_output_closed, bit(electrical.output_auxiliary));
    put(StationSignal::drive_frequency, electrical.drive_frequency_hz);
    put(StationSignal::drive_voltage, electrical.drive_voltage_v);
    put(StationSignal::drive_angle, electrical.drive_ahead_rad * deg_per_rad);

    for (std::size_t pump = 0; pump < parts.pump_count; ++pump) {
        const MotorState& motor = electrical.motors[pump];
        const std::size_t first = index_of(pump, PumpSignal::drive_side_closed);
        const auto set = [&](PumpSignal signal, double value) {
            readings_[first + static_cast<std::size_t>(signal)] = value;
        };
        set(PumpSignal::drive_side_closed, bit(motor.drive_side_auxiliary));
        set(PumpSignal::line_side_closed, bit(motor.line_side_auxiliary));
        set(PumpSignal::tripped, bit(motor.tripped));
        set(PumpSignal::seal_leak, 0);
        set(PumpSignal::selector, static_cast<double>(parts.panels[pump].selector));
        set(PumpSignal::current, motor.current_a);
        set(PumpSignal::winding_temperature, motor.winding_temperature_k);
    }
    if (!parts.wires.sound()) parts.wires.falsify(readings_, time_ms_);
}

const HydraulicState& Plant::water() const {
    return parts_->water.state();
}
const PowerTrainState& Plant::electrical() const {
    return parts_->machines.state();
}
double Plant::inflow_m3s() const {
    return parts_->hydraulic_inputs.inflow_m3s;
}
double Plant::rain_m_s() const {
    return parts_->inflow.rain_rate_m_s(static_cast<double>(time_ms_ - parts_->start_ms) * s_per_ms);
}
double Plant::held_m() const {
    return parts_->held_m();
}
double Plant::volume_error_m3() const {
    return parts_->water.volume_error_m3();
}
Figures Plant::figures() const {
    return parts_->keeper.at(time_ms_, electrical().energy_j);
}
WaterFigures Plant::water_figures() const {
    WaterFigures figures = parts_->water_keeper.figures();
    figures.surge_head_max_m = trip_surge_head_m(parts_->main, figures.main_flow_max_m3s);
    return figures;
}
config::PeopleCounts Plant::people() const {
    return parts_->people.counts_at(time_ms_);
}
const std::vector<ActiveFault>& Plant::faults() const {
    return parts_->book.in_force();
}

void Plant::catch_up() {
    if (parts_->stepped_to_ms < time_ms_) parts_->advance(time_ms_);
}

bool Plant::set_fault(std::string_view device, config::FaultKind kind, double amount) {
    const auto found = config::find_device(device, parts_->pump_count);
    if (!found || !config::takes(found->kind_of_device, kind)) return false;
    catch_up();
    parts_->book.set(*found, kind, amount, time_ms_);
    change_faults();
    return true;
}

bool Plant::clear_fault(std::string_view device) {
    const auto found = config::find_device(device, parts_->pump_count);
    if (!found || !parts_->book.clear(*found)) return false;
    catch_up();
    change_faults();
    return true;
}

}  // namespace freshet::plant
