// Repeats the closing over the angle and writes the verdict. The simulated plant provides the machine.
#include "sim_plant/studies/closing_study.hpp"

#include <fmt/format.h>

#include <cmath>

namespace freshet::studies {
namespace {

constexpr int sweep_steps = 36;
constexpr double half_turn_deg = 180;

std::vector<SweepPoint> sweep_angles(const config::Motor& motor, plant::ClosingCase closing) {
    std::vector<SweepPoint> sweep;
    for (int i = 0; i <= sweep_steps; ++i) {
        closing.angle_deg = half_turn_deg * i / sweep_steps;
        sweep.push_back({closing.angle_deg, plant::closing_study(motor, closing)});
    }
    return sweep;
}

}  // namespace

ClosingStudy study_closing(const config::Motor& motor, const plant::ClosingCase& closing, bool swept) {
    ClosingStudy study;
    study.motor = motor;
    if (!motor.has_circuit) {
        study.estimate = plant::estimate_circuit(motor);
        study.motor = study.estimate->motor;
    }
    study.closing = closing;
    study.result = plant::closing_study(study.motor, closing, &study.trace);
    if (swept) study.sweep = sweep_angles(study.motor, closing);
    return study;
}

std::string verdict_of(const plant::ClosingResult& r) {
    const double high = r.torque_max_nm / r.rated_torque_nm;
    const double low = r.torque_min_nm / r.rated_torque_nm;
    const double hardest = std::abs(low) > high ? low : high;
    std::string text =
        r.within_limit()
            ? fmt::format("within the limit: resultant {:.2f} per-unit volts per hertz, limit {:g}",
                          r.resultant_v_per_hz_pu, plant::resultant_limit_pu)
            : fmt::format(
                  "beyond the limit: resultant {:.2f} per-unit volts per hertz, limit {:g}; do not close at "
                  "this angle",
                  r.resultant_v_per_hz_pu, plant::resultant_limit_pu);
    text +=
        fmt::format("; hardest torque {:.1f} times rated, worst current peak {:.1f} times the peak before",
                    hardest, r.peak_current_ratio);
    return text;
}

}  // namespace freshet::studies
