// The parts of the simulated station. Only plant.cpp and fault_routing.cpp use this file.
//
// One reason to change: someone adds or removes a part of the station.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "sim_plant/station/instruments.hpp"
#include "sim_plant/station/people_book.hpp"
#include "sim_plant/station/plant.hpp"
#include "sim_plant/station/wires.hpp"
#include "sim_plant/weather/demand.hpp"
#include "sim_plant/weather/inflow.hpp"

namespace freshet::plant {

enum class SelectorPosition : std::uint8_t { off, hand, automatic };

/// The choice of people at the pump's own panel.
struct Panel {
    SelectorPosition selector = SelectorPosition::automatic;
    bool runs_by_hand = false;  ///< in hand, the panel closes the line-side contactor
};

struct Plant::Parts {
    Parts(const config::Station& station, const config::Scenario& scenario, std::int32_t scan_ms);

    void route(const ActiveFault& fault, bool active, std::int64_t now_ms);
    void route_to_pump(std::size_t pump, const ActiveFault& fault, bool active);
    void route_to_contactor(const ActiveFault& fault, bool active);
    void route_to_link(const ActiveFault& fault, bool active);
    void note_contacts(std::int64_t begin_ms, std::int64_t end_ms);
    /// The value that the duty holds: the level of the store, or the pressure head of the header.
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
    std::int64_t stepped_to_ms;  ///< the instant of the state
    double ratio_per_rad_s = 0;  ///< pump speed over rated speed, per rad/s

    Inflow inflow;
    std::optional<DailyDemand> demand;
    PowerTrain machines;
    Hydraulics water;
    Instruments instruments;
    Wires wires;
    FaultBook book;
    PeopleBook people;
    std::vector<ActiveFault> routed;
    LinkState link;
    std::array<Panel, pumps_max> panels{};
    bool people_interfere = false, emergency_stop = false;

    std::int64_t due_ms = 0;  ///< latest time of the next step of a calm station
    bool calm = false;
    double stepped_reference_hz = 0;

    FigureKeeper keeper;
    WaterKeeper water_keeper;
    config::Main main;  ///< for the surge figure
    std::array<Contacts, pumps_max> contacts{};
    Orders orders, passed;
    HydraulicInputs hydraulic_inputs;
};

}  // namespace freshet::plant
