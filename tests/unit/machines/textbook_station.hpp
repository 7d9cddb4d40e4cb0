// An invented station around the textbook's 500 hp machine, and a fan load, for the tests of the electrical
// side.
#pragma once

#include <array>

#include "config/station.hpp"
#include "sim_plant/physics/power_train.hpp"

namespace freshet::plant::testing {

/// Krause, Wasynczuk, Sudhoff, Analysis of Electric Machinery, table of induction machines, 500 hp; 2300 V,
/// 60 Hz, 4 poles.
inline config::Motor motor_500_hp() {
    config::Motor motor;
    motor.name = "500 hp textbook machine";
    motor.nameplate.power_w = 500 * 745.7;
    motor.nameplate.voltage_v = 2300;
    motor.nameplate.frequency_hz = 60;
    motor.nameplate.speed_rpm = 1773;
    motor.has_circuit = true;
    motor.circuit = {.rs_ohm = 0.262, .xls_ohm = 1.206, .xm_ohm = 54.02, .xlr_ohm = 1.206, .rr_ohm = 0.187};
    motor.poles = 4;
    motor.inertia_kgm2 = 11.06;
    return motor;
}

/// The same table, 2250 hp.
inline config::Motor motor_2250_hp() {
    config::Motor motor = motor_500_hp();
    motor.name = "2250 hp textbook machine";
    motor.nameplate.power_w = 2250 * 745.7;
    motor.nameplate.speed_rpm = 1786;
    motor.circuit = {.rs_ohm = 0.029, .xls_ohm = 0.226, .xm_ohm = 13.04, .xlr_ohm = 0.226, .rr_ohm = 0.022};
    motor.inertia_kgm2 = 63.87;
    return motor;
}

inline config::Station textbook_station() {
    config::Station station;
    station.pump_count = 4;
    station.motor = motor_500_hp();
    station.pump.inertia_kgm2 = 4;
    station.drive.ramp_up_hz_s = 4;
    station.drive.ramp_down_hz_s = 4;
    station.drive.frequency_max_hz = 62;
    station.drive.current_limit_a = 130;
    station.drive.efficiency = {{0.016, 0.61}, {0.25, 0.95}, {0.5, 0.96}, {0.75, 0.97}, {1, 0.97}};
    station.supply.voltage_v = 2350;
    station.supply.frequency_hz = 60;
    station.supply.short_circuit_va = 60e6;
    return station;
}

/// The electrical side with each pump a fan: torque as speed squared, `share` of rated torque at rated speed.
class Bench {
  public:
    explicit Bench(const config::Station& station = textbook_station(), std::uint64_t seed = 1,
                   double share = 1)
        : train(station, seed), share_(share) {}

    const PowerTrainState& step(double dt_s = 0.1) {
        std::array<double, 8> load{};
        for (std::size_t i = 0; i < load.size(); ++i) {
            const double ratio = train.state().motors[i].speed_rad_s / train.rated_speed_rad_s();
            load[i] = share_ * train.model().rated_torque_nm * ratio * ratio;
        }
        time_s += dt_s;
        const PowerTrainState& state = train.step(dt_s, orders, load);
        for (const ClosingRecord& closing : train.closings()) last_closing = closing;
        closings += train.closings().size();
        return state;
    }
    void run(double seconds, double dt_s = 0.1) {
        for (double t = 0; t < seconds - dt_s / 2; t += dt_s) step(dt_s);
    }
    /// Steps until the condition holds; the seconds it took, or a negative number when it never did.
    template <class Condition>
    double until(Condition condition, double most_s, double dt_s = 0.1) {
        for (double t = 0; t < most_s; t += dt_s) {
            if (condition(train.state())) return t;
            step(dt_s);
        }
        return -1;
    }

    PowerTrain train;
    Orders orders;
    ClosingRecord last_closing;
    std::size_t closings = 0;
    double time_s = 0;

  private:
    double share_;
};

}  // namespace freshet::plant::testing
