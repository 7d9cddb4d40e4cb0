// Contradictions of a nameplate: see nameplate.hpp.
//
// One reason to change: a contradiction of a nameplate.
#include <array>
#include <cmath>
#include <cstdio>
#include <numbers>

#include "sim_plant/physics/nameplate.hpp"

namespace freshet::plant {

namespace {

std::string sentence(const char* format, double a, double b) {
    std::array<char, 200> text{};
    std::snprintf(text.data(), text.size(), format, a, b);
    return text.data();
}

}  // namespace

std::vector<std::string> nameplate_contradictions(const config::Motor& motor) {
    const config::Nameplate& p = motor.nameplate;
    std::vector<std::string> wrong;
    const double synchronous_rpm = 120 * p.frequency_hz / motor.poles;
    if (p.speed_rpm > 0 && p.speed_rpm >= synchronous_rpm)
        wrong.push_back(
            sentence("rated speed %.0f rpm is not below the field's %.0f rpm", p.speed_rpm, synchronous_rpm));
    if (p.speed_rpm > 0 && p.speed_rpm < 0.85 * synchronous_rpm)
        wrong.push_back(sentence(
            "rated speed %.0f rpm is more than 15 %% below the field's %.0f rpm: are the poles right?",
            p.speed_rpm, synchronous_rpm));
    if (p.efficiency > 0 && p.efficiency >= 1)
        wrong.push_back(sentence("efficiency %.3f is not below %.0f", p.efficiency, 1));
    if (p.power_factor > 1) wrong.push_back(sentence("power factor %.3f is above %.0f", p.power_factor, 1));
    if (p.current_a > 0 && p.power_factor > 0 && p.efficiency > 0) {
        const double shaft_w =
            std::numbers::sqrt3 * p.voltage_v * p.current_a * p.power_factor * p.efficiency;
        constexpr double rounding = 0.04;  // nameplates round each figure
        if (std::abs(shaft_w / p.power_w - 1) > rounding)
            wrong.push_back(
                sentence("current, power factor and efficiency give %.1f kW, the plate says %.1f kW",
                         shaft_w / 1000, p.power_w / 1000));
    } else if (p.current_a > 0) {
        const double apparent_w = std::numbers::sqrt3 * p.voltage_v * p.current_a;
        if (apparent_w < p.power_w)
            wrong.push_back(sentence("rated current carries %.1f kVA, less than the rated %.1f kW",
                                     apparent_w / 1000, p.power_w / 1000));
    }
    if (p.speed_rpm > 0 && p.efficiency > 0) {
        const double slip = 1 - p.speed_rpm / synchronous_rpm;
        if (slip / (1 - slip) > 1 / p.efficiency - 1)
            wrong.push_back(
                sentence("rotor loss at rated slip is %.2f %% of rated power, all losses only %.2f %%",
                         100 * slip / (1 - slip), 100 * (1 / p.efficiency - 1)));
    }
    if (p.breakdown_torque_ratio > 0 && p.breakdown_torque_ratio < 1.2)
        wrong.push_back(
            sentence("breakdown torque %.2f of rated is below %.1f", p.breakdown_torque_ratio, 1.2));
    if (p.locked_rotor_current_ratio > 0 && p.locked_rotor_current_ratio < 2)
        wrong.push_back(
            sentence("locked-rotor current %.2f of rated is below %.0f", p.locked_rotor_current_ratio, 2));
    return wrong;
}

}  // namespace freshet::plant
