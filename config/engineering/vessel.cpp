// The vessel of a booster; see the header.
// One reason to change: the formula that sizes a vessel.
#include "config/engineering/vessel.hpp"

#include "config/electrics/motor_circuit.hpp"
#include "config/engineering/derive.hpp"
#include "config/engineering/proposal.hpp"
#include "config/engineering/rules.hpp"
#include "config/hydraulics/air_vessel.hpp"
#include "config/hydraulics/pump_curve.hpp"
#include "controller/core/steady_flow.hpp"

namespace freshet::config {
namespace {

/// Flow of one pump on the drive at the controller's minimum-flow speed, m3/s. That speed takes the slip of a motor
/// under its rated load for granted. At the minimum flow the motor carries less load, slips less and turns faster, so
/// that a pump with a flat curve delivers clearly more than its minimum flow.
/// Source: slip in proportion to torque, the straight part of an induction motor's torque curve, common practice.
double charging_flow_m3s(const Station& station, const core::Settings& settings, double measured_m) {
    const PumpCurve curve(station.pump, station.fluid);
    const core::SteadyFlow flows(settings);
    const double static_m = core::StaticHead(settings).at_m(measured_m);
    const double feed_ratio =
        core::minimum_flow_speed_hz(settings, 0, measured_m) / settings.drive.line_frequency_hz;
    const double slip = settings.drive.rated_slip_ratio;
    const Nameplate& plate = station.motor.nameplate;
    const double rated_rad_s = (1 - slip) * synchronous_speed(plate.frequency_hz, station.motor.poles);
    const double rated_nm = plate.power_w / rated_rad_s;
    double ratio = core::DriveSpeed(settings).ratio_of(settings.drive.line_frequency_hz * feed_ratio);
    double flow_m3s = 0;
    constexpr int steps = 40;  // each step leaves less than half of the error
    for (int step = 0; step < steps; ++step) {
        flow_m3s = flows.at(0, ratio, static_m).drive_pump_m3s;
        const double speed = ratio * line_speed_ratio(station);
        const double torque_nm = speed * speed * curve.torque_nm(flow_m3s / speed);
        ratio = (feed_ratio - slip * torque_nm / rated_nm) / (1 - slip);
    }
    return flow_m3s;
}

}  // namespace

SleepCycle vessel_cycle(const Station& station, const core::Settings& settings, double lower_m,
                        double upper_m) {
    const AirVessel& vessel = station.air_vessel;
    const double atmosphere_m = atmosphere_head_m(station.fluid);
    SleepCycle cycle;
    cycle.air_m3 = vessel.air_volume_m3;
    cycle.drawn_m3 = vessel.air_volume_m3 *
                     (air_share(vessel, atmosphere_m, lower_m) - air_share(vessel, atmosphere_m, upper_m));
    cycle.pump_m3s = charging_flow_m3s(station, settings, upper_m);
    cycle.pumps = settings.pump_count;
    cycle.shortest_charge_s = cycle.drawn_m3 / cycle.pump_m3s;
    cycle.starts_per_hour_each =
        s_per_hour / worst_cycle_time_s(cycle.drawn_m3, cycle.pump_m3s) / cycle.pumps;
    return cycle;
}

}  // namespace freshet::config
