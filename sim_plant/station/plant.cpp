// Puts the station together and steps it, as declared in the header.
// One reason to change: see there.
#include "sim_plant/station/plant.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>
#include <optional>
#include <type_traits>
#include <vector>

#include "sim_plant/physics/surge.hpp"
#include "sim_plant/sensors/current_loop.hpp"
#include "sim_plant/sensors/float_switch.hpp"
#include "sim_plant/sensors/transmitter.hpp"
#include "sim_plant/station/wires.hpp"
#include "sim_plant/weather/demand.hpp"
#include "sim_plant/weather/inflow.hpp"

namespace freshet::plant {
namespace {

using config::FaultKind;
using config::index_of;
using config::PumpSignal;
using config::StationSignal;

constexpr double s_per_ms = 0.001;
constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
constexpr double deg_per_rad = 57.29577951308232;

// Independent randomness for each part, from the scenario's one seed.
constexpr std::uint64_t seed_of_inflow = 0x1, seed_of_machines = 0x2, seed_of_wires = 0x3,
                        seed_of_pressure = 0x4, seed_of_level = 0x10;
constexpr std::uint64_t part_seed(std::uint64_t seed, std::uint64_t part) {
    return seed * 0x100 + part;
}

// A pressure transmitter of ordinary quality (common practice): noise of a thousandth of span, a fifth of a
// second of lag.
constexpr double pressure_noise_ratio = 0.001, pressure_lag_s = 0.2, pressure_resolution_ma = 0.002;

// A calm station is stepped, and its meters read, once a second: metering refreshes no faster (common
// practice).
constexpr std::int64_t calm_step_ms = 1000;
// Calm: the main's flow changes by no more than this share a second ...
constexpr double calm_flow_ratio_per_s = 0.02, calm_flow_floor_m3s = 1e-4;
// ... and the reference has moved no further since the last step.
constexpr double calm_reference_hz = 0.5;

// A slow link whose delay is not given.
constexpr std::int64_t link_slow_default_ms = 500;

enum class SelectorPosition : std::uint8_t { off, hand, automatic };

/// What people at the pump's own panel have chosen.
struct Panel {
    SelectorPosition selector = SelectorPosition::automatic;
    bool runs_by_hand = false;  ///< in hand: line-side closed at the panel
};

/// A level or pressure transmitter, how often it measures and where its readings go.
struct Instrument {
    Transmitter transmitter;
    config::SignalIndex loop, value;
    std::int64_t update_ms = 0, next_ms = 0;

    void read(double true_value, std::int64_t now_ms, config::Readings& readings) {
        if (now_ms < next_ms) return;
        next_ms = now_ms + update_ms;
        const double current_ma = transmitter.step_ma(true_value);
        const TransmitterDesign& design = transmitter.design();
        readings[loop] = current_ma;
        readings[value] = loop_meaning(current_ma) == LoopMeaning::failed
                              ? nothing
                              : loop_value(current_ma, design.value_at_4ma, design.value_at_20ma);
    }
};

double bit(bool on) {
    return on ? 1.0 : 0.0;
}

}  // namespace

struct Plant::Parts {
    Parts(const config::Station& station, const config::Scenario& scenario, std::int32_t scan_ms);

    void route(const ActiveFault& fault, bool active, std::int64_t now_ms);
    void route_to_pump(std::size_t pump, const ActiveFault& fault, bool active);
    void note_contacts(std::int64_t begin_ms, std::int64_t end_ms);
    /// What the duty holds: the level of the store, or the header's pressure head.
    double held_m() const {
        return duty == config::Duty::hold_pressure ? water.state().header_pressure_m : water.state().level_m;
    }
    double inflow_at(double t_s) const { return demand ? demand->at_m3s(t_s) : inflow.at_m3s(t_s); }
    Orders as_people_let_pass(const Orders& orders) const;
    void advance(std::int64_t to_ms);
    bool is_calm(double flow_before_m3s, double dt_s) const;
    bool may_wait(const Orders& given) const;
    std::int64_t next_due_ms() const;

    config::Duty duty;
    std::size_t pump_count;
    std::int64_t start_ms;
    std::int64_t stepped_to_ms;  ///< the state is of this instant
    double ratio_per_rad_s = 0;  ///< pump speed over rated speed, per rad/s

    Inflow inflow;
    std::optional<DailyDemand> demand;
    PowerTrain machines;
    Hydraulics water;
    std::vector<Instrument> level;
    std::optional<Instrument> pressure;
    std::optional<Float> high_float, low_float;
    Wires wires;
    FaultBook book;
    std::vector<ActiveFault> routed;
    LinkState link;
    std::array<Panel, pumps_max> panels{};
    bool people_interfere = false, emergency_stop = false;

    std::int64_t due_ms = 0;  ///< a calm station is stepped no later
    bool calm = false;
    double stepped_reference_hz = 0;

    FigureKeeper keeper;
    WaterKeeper water_keeper;
    config::Main main;  ///< for the surge figure
    std::array<Contacts, pumps_max> contacts{};
    Orders orders, passed;
    HydraulicInputs hydraulic_inputs;
};

Plant::Parts::Parts(const config::Station& station, const config::Scenario& scenario, std::int32_t scan_ms)
    : duty(station.duty),
      pump_count(station.pump_count),
      start_ms(scenario.start_ms),
      stepped_to_ms(scenario.start_ms),
      inflow(scenario.weather, scenario.start_ms, scenario.duration_s,
             part_seed(scenario.seed, seed_of_inflow)),
      machines(station, part_seed(scenario.seed, seed_of_machines)),
      water(station, scenario.initial_level_m),
      wires(part_seed(scenario.seed, seed_of_wires)),
      book(scenario, station.pump_count),
      keeper(station, scenario.start_ms, held_m()),
      water_keeper(station.pump_count),
      main(station.main) {
    if (duty != config::Duty::empty_well) demand.emplace(scenario.demand_m3s, scenario.start_ms);
    const config::Instruments& instruments = station.instruments;
    constexpr std::size_t level_transmitters_max = 2;
    for (std::size_t i = 0; i < std::min(instruments.level.size(), level_transmitters_max); ++i) {
        const std::int64_t update_ms =
            std::max<std::int64_t>(std::llround(instruments.level[i].update_s / s_per_ms), scan_ms);
        level.push_back(
            {Transmitter{design_of(instruments.level[i]), static_cast<double>(update_ms) * s_per_ms,
                         part_seed(scenario.seed, seed_of_level + i)},
             index_of(i == 0 ? StationSignal::level_1_loop : StationSignal::level_2_loop),
             index_of(i == 0 ? StationSignal::level_1 : StationSignal::level_2), update_ms, start_ms});
        level.back().transmitter.settle(water.state().level_m);
    }
    if (instruments.pressure_fitted) {
        const double span_m = instruments.pressure_at_20ma_m - instruments.pressure_at_4ma_m;
        const TransmitterDesign design{instruments.pressure_at_4ma_m, instruments.pressure_at_20ma_m,
                                       std::abs(span_m) * pressure_noise_ratio, pressure_lag_s,
                                       pressure_resolution_ma};
        // Where pressure is not what the duty holds, it is logged like the other meters.
        const std::int64_t update_ms = duty == config::Duty::hold_pressure ? scan_ms : calm_step_ms;
        pressure.emplace(Instrument{Transmitter{design, static_cast<double>(update_ms) * s_per_ms,
                                                part_seed(scenario.seed, seed_of_pressure)},
                                    index_of(StationSignal::header_pressure_loop),
                                    index_of(StationSignal::header_pressure), update_ms, start_ms});
        pressure->transmitter.settle(water.state().header_pressure_m);
    }
    if (instruments.floats_fitted) {
        high_float.emplace(instruments.high_float_m, instruments.float_differential_m);
        low_float.emplace(instruments.low_float_m, instruments.float_differential_m);
    }
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

void Plant::Parts::route_to_pump(std::size_t pump, const ActiveFault& fault, bool active) {
    switch (fault.kind) {
        case FaultKind::trip:
            machines.set_pump_trip(pump, active);
            break;
        case FaultKind::blocked:
            water.set_blockage(pump, active ? fault.amount : 0);
            break;
        case FaultKind::worn:
            water.set_wear(pump, active ? 1 - fault.amount : 1);
            break;
        case FaultKind::valve_stuck_open:
            water.set_valve_stuck_open(pump, active);
            break;
        case FaultKind::selector_off:
        case FaultKind::selector_hand:
            panels[pump] = {};
            if (active)
                panels[pump] = {
                    fault.kind == FaultKind::selector_off ? SelectorPosition::off : SelectorPosition::hand,
                    fault.kind == FaultKind::selector_hand && fault.amount > 0};
            people_interfere = std::any_of(panels.begin(), panels.end(), [](const Panel& panel) {
                return panel.selector != SelectorPosition::automatic;
            });
            break;
        default:
            break;
    }
}

void Plant::Parts::route(const ActiveFault& fault, bool active, std::int64_t now_ms) {
    const config::Device& device = fault.device;
    const auto on_wire = [&] {
        if (active)
            wires.set(device.signal, fault.kind, fault.amount, now_ms);
        else
            wires.clear(device.signal, fault.kind);
    };
    switch (device.kind_of_device) {
        case config::DeviceClass::transmitter: {
            Instrument* instrument = nullptr;
            for (Instrument& one : level)
                if (one.loop == device.signal) instrument = &one;
            if (pressure && pressure->loop == device.signal) instrument = &*pressure;
            if (instrument == nullptr) break;  // not fitted at this station
            if (active)
                instrument->transmitter.set_fault(fault.kind, fault.amount);
            else
                instrument->transmitter.clear_fault(fault.kind);
            break;
        }
        case config::DeviceClass::analog:
        case config::DeviceClass::bit:
            on_wire();
            break;
        case config::DeviceClass::emergency_stop:
            if (fault.kind != FaultKind::emergency_stop) {
                on_wire();
                break;
            }
            emergency_stop = active;
            machines.set_emergency_stop(active);
            break;
        case config::DeviceClass::contactor: {
            const bool output = device.pump >= pump_count;
            const bool drive_side =
                !output && device.signal == index_of(device.pump, PumpSignal::drive_side_closed);
            machines.set_contactor_fault(output       ? ContactorAt::drive_output
                                         : drive_side ? ContactorAt::drive_side
                                                      : ContactorAt::line_side,
                                         output ? 0 : device.pump, fault.kind, active, fault.amount);
            break;
        }
        case config::DeviceClass::drive:
            machines.set_drive_fault(fault.kind, active, fault.amount);
            break;
        case config::DeviceClass::pump:
            route_to_pump(device.pump, fault, active);
            break;
        case config::DeviceClass::line:
            machines.set_line_fault(fault.kind, active, fault.amount);
            break;
        case config::DeviceClass::link:
            if (fault.kind == FaultKind::link_lost) link.lost = active;
            if (fault.kind == FaultKind::link_garbled)
                link.garbled_share = !active ? 0 : fault.amount > 0 ? fault.amount : 1;
            if (fault.kind == FaultKind::link_slow)
                link.slow_ms = !active            ? 0
                               : fault.amount > 0 ? std::llround(fault.amount / s_per_ms)
                                                  : link_slow_default_ms;
            break;
    }
}

void Plant::Parts::note_contacts(std::int64_t begin_ms, std::int64_t end_ms) {
    const PowerTrainState& electrical = machines.state();
    for (const ClosingRecord& closing : machines.closings()) {
        if (closing.contactor == ContactorAt::drive_output) continue;
        keeper.closing({.at_ms = static_cast<double>(begin_ms) + closing.at_s / s_per_ms,
                        .pump = closing.pump,
                        .line_side = closing.contactor == ContactorAt::line_side,
                        .from_rest = closing.from_rest,
                        .angle_deg = closing.angle_deg,
                        .slip_hz = closing.slip_hz,
                        .resultant_v_per_hz_pu = closing.resultant_v_per_hz_pu,
                        .peak_current_ratio = closing.peak_current_ratio,
                        .torque_max_ratio = closing.torque_max_ratio,
                        .torque_min_ratio = closing.torque_min_ratio});
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
    // Pressure answers at once to every change of demand: nothing there may wait.
    if (duty == config::Duty::hold_pressure || !machines.settled() || !wires.sound()) return false;
    for (std::size_t pump = 0; pump < pump_count; ++pump)
        if (machines.state().motors[pump].mode == MotorMode::coasting) return false;
    const double flow_m3s = water.state().main_flow_m3s;
    return std::abs(flow_m3s - flow_before_m3s) <=
           (std::abs(flow_m3s) + calm_flow_floor_m3s) * calm_flow_ratio_per_s * dt_s;
}

std::int64_t Plant::Parts::next_due_ms() const {
    std::int64_t due = start_ms + ((stepped_to_ms - start_ms) / calm_step_ms + 1) * calm_step_ms;
    due = std::min(due, book.next_due_ms());
    for (const Instrument& instrument : level) due = std::min(due, instrument.next_ms);
    return due;
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
    // What has waited passed under the orders before.
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
    for (Instrument& instrument : parts.level) instrument.read(water.level_m, time_ms_, readings_);
    if (parts.pressure) parts.pressure->read(water.header_pressure_m, time_ms_, readings_);
    put(StationSignal::station_flow, water.main_flow_m3s);
    if (parts.high_float) {
        put(StationSignal::high_float, bit(parts.high_float->step(water.level_m)));
        put(StationSignal::low_float, bit(parts.low_float->step(water.level_m)));
    }
    put(StationSignal::emergency_stop, bit(parts.emergency_stop));
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

void Plant::change_faults() {
    Parts& parts = *parts_;
    const auto holds = [](const std::vector<ActiveFault>& list, const ActiveFault& fault) {
        return std::find(list.begin(), list.end(), fault) != list.end();
    };
    const std::vector<ActiveFault>& now = parts.book.in_force();
    for (const ActiveFault& fault : parts.routed)
        if (!holds(now, fault)) parts.route(fault, false, time_ms_);
    for (const ActiveFault& fault : now)
        if (!holds(parts.routed, fault)) parts.route(fault, true, time_ms_);
    parts.routed = now;
    ++fault_changes_;
    parts.calm = false;
    link_ = parts.link;
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
const std::vector<ActiveFault>& Plant::faults() const {
    return parts_->book.in_force();
}

void Plant::catch_up() {
    if (parts_->stepped_to_ms < time_ms_) parts_->advance(time_ms_);
}

bool Plant::set_fault(std::string_view device, FaultKind kind, double amount) {
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
