// Prints efficiencies of the plant's motor and drive by load as CSV, for the comparison with an open library.
// One reason to change: a case that the comparison has.
//
// usage: print_efficiencies drive POWER_W POINTS LOAD EFFICIENCY ... -- LOAD ...
//        print_efficiencies motor POWER_W POLES SPEED_RPM EFFICIENCY FRICTION_W CORE_W -- LOAD ...
// With FRICTION_W and CORE_W 0 the estimate takes its own typical shares of the losses.
#include <cstdio>
#include <cstdlib>
#include <string_view>
#include <vector>

#include "config/electrics/motor_circuit.hpp"
#include "sim_plant/physics/drive.hpp"
#include "sim_plant/physics/nameplate.hpp"

namespace {

using namespace freshet;

double drive_efficiency(const std::vector<double>& told, double load) {
    const double rated_w = told[0];
    config::Drive data;
    for (std::size_t i = 1; i + 1 < told.size(); i += 2) data.efficiency.push_back({told[i], told[i + 1]});
    data.frequency_max_hz = 60;
    const plant::Drive drive(data, 460, 60, rated_w);
    const double output_w = load * rated_w;
    return output_w / (output_w + drive.loss_w(output_w));
}

config::Motor motor_of(const std::vector<double>& told) {
    config::Motor motor;
    motor.nameplate.power_w = told[0];
    motor.poles = static_cast<std::uint8_t>(told[1]);
    motor.nameplate.speed_rpm = told[2];
    motor.nameplate.efficiency = told[3];
    motor.friction_loss_w = told[4];
    motor.core_loss_w = told[5];
    motor.nameplate.voltage_v = 460;
    motor.nameplate.frequency_hz = 60;
    return plant::estimate_circuit(motor).motor;
}

double motor_efficiency(const config::Motor& motor, double load) {
    const double shaft_w = load * motor.nameplate.power_w;
    const config::MotorPoint point = config::circuit_point(
        motor.circuit, motor.poles, motor.nameplate.frequency_hz, motor.nameplate.voltage_v,
        motor.nameplate.frequency_hz, config::slip_for_shaft_power(motor, shaft_w));
    return shaft_w / (point.input_w + motor.core_loss_w);
}

}  // namespace

int main(int argc, char** argv) {
    std::vector<double> told, loads;
    bool after = false;
    for (int i = 2; i < argc; ++i) {
        if (std::string_view(argv[i]) == "--")
            after = true;
        else
            (after ? loads : told).push_back(std::atof(argv[i]));
    }
    const bool is_drive = argc > 1 && std::string_view(argv[1]) == "drive";
    constexpr std::size_t motor_figures = 6;
    if (loads.empty() || (is_drive ? told.size() < 3 : told.size() != motor_figures)) return 2;
    const config::Motor motor = is_drive ? config::Motor{} : motor_of(told);
    for (const double load : loads)
        std::printf("%.9g,%.9g\n", load,
                    is_drive ? drive_efficiency(told, load) : motor_efficiency(motor, load));
    return 0;
}
