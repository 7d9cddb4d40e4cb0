// What the ideal operators do; see the header.
#include "tests/property/staging/ideal_operators.hpp"

#include <algorithm>
#include <cmath>

#include "sim_plant/physics/hydraulics.hpp"
#include "sim_plant/weather/inflow.hpp"

namespace freshet::staging_campaign {
namespace {

constexpr std::size_t none = 8;

}  // namespace

std::size_t pumps_running(const plant::Plant& plant, std::size_t pump_count) {
    const auto& motors = plant.electrical().motors;
    return static_cast<std::size_t>(
        std::count_if(motors.begin(), motors.begin() + static_cast<std::ptrdiff_t>(pump_count),
                      [](const plant::MotorState& one) { return one.mode >= plant::MotorMode::on_drive; }));
}

std::size_t PromptOperator::drive_pump() const {
    for (std::size_t pump = 0; pump < station_.given.pump_count; ++pump)
        if (orders_.pumps[pump].drive_side_close) return pump;
    return none;
}

/// A pump at rest: a coasting motor would trip the drive.
std::size_t PromptOperator::idle_pump(const plant::PowerTrainState& electrical) const {
    for (std::size_t pump = 0; pump < station_.given.pump_count; ++pump) {
        const bool ordered = orders_.pumps[pump].drive_side_close || orders_.pumps[pump].line_side_close;
        if (!ordered && electrical.motors[pump].mode == plant::MotorMode::at_rest) return pump;
    }
    return none;
}

const plant::Orders& PromptOperator::decide(const plant::Plant& plant) {
    const plant::PowerTrainState& electrical = plant.electrical();
    const double level_m = plant.water().level_m;
    const core::Settings::Marks& marks = station_.settings.marks;
    const bool carried = plant.inflow_m3s() <=
                         station_.capacity.full_m3s(pumps_running(plant, station_.given.pump_count), level_m);
    if (level_m < marks.stop_m) return orders_ = {};
    const std::size_t pump = drive_pump();
    if (pump == none) {
        orders_.drive_run = orders_.synchronise = orders_.output_close = false;
        if (!carried) start_another(electrical);
    } else if (orders_.pumps[pump].line_side_close) {
        finish_hand_over(electrical, pump);
    } else {
        run_on_drive(electrical, pump, carried, level_m < marks.setpoint_m);
    }
    return orders_;
}

void PromptOperator::start_another(const plant::PowerTrainState& electrical) {
    const bool free = !electrical.output_auxiliary &&
                      std::none_of(electrical.motors.begin(), electrical.motors.end(),
                                   [](const plant::MotorState& one) { return one.drive_side_auxiliary; });
    const std::size_t next = idle_pump(electrical);
    if (free && next != none) orders_.pumps[next].drive_side_close = true;
}

void PromptOperator::finish_hand_over(const plant::PowerTrainState& electrical, std::size_t pump) {
    if (!electrical.motors[pump].line_side_auxiliary) return;
    orders_.output_close = false;
    if (electrical.output_auxiliary) return;
    orders_.drive_run = orders_.synchronise = false;
    orders_.pumps[pump].drive_side_close = false;
}

void PromptOperator::run_on_drive(const plant::PowerTrainState& electrical, std::size_t pump, bool carried,
                                  bool low) {
    const plant::MotorState& motor = electrical.motors[pump];
    if (!motor.drive_side_auxiliary) return;
    if (!electrical.drive_running && motor.mode == plant::MotorMode::coasting) {
        orders_.drive_run = orders_.output_close = orders_.pumps[pump].drive_side_close = false;
        return;
    }
    orders_.output_close = true;
    orders_.drive_run = electrical.output_auxiliary;
    const double line_hz = electrical.line_frequency_hz;
    orders_.speed_hz = carried && low ? station_.settings.drive.speed_min_hz : line_hz;
    const bool hand_over = !carried && electrical.drive_running && idle_pump(electrical) != none;
    const bool at_line_frequency =
        std::abs(electrical.drive_frequency_hz - line_hz) < station_.settings.drive.tolerance_hz;
    orders_.synchronise = hand_over && (orders_.synchronise || at_line_frequency);
    orders_.pumps[pump].line_side_close = orders_.synchronise && electrical.drive_in_sync;
}

double literal_prompt_overflow_m3(const RandomStation& station, const config::Scenario& scenario) {
    plant::Plant plant{station.real, scenario, station.settings.scan_ms};
    PromptOperator prompt{station, {}};
    constexpr double ms_per_s = 1000;
    const auto scans = static_cast<std::int64_t>(scenario.duration_s * ms_per_s) / station.settings.scan_ms;
    for (std::int64_t scan = 0; scan < scans; ++scan) plant.step(prompt.decide(plant));
    return plant.water().overflow_m3;
}

double foreseeing_overflow_m3(const RandomStation& station, const config::Scenario& scenario) {
    plant::Hydraulics water{station.real, scenario.initial_level_m};
    const plant::Inflow inflow{scenario.weather, scenario.start_ms, scenario.duration_s, scenario.seed};
    constexpr double step_s = 1;
    for (double t_s = 0; t_s < scenario.duration_s; t_s += step_s) {
        plant::HydraulicInputs inputs;
        inputs.inflow_m3s = inflow.at_m3s(t_s);
        if (water.state().level_m > station.settings.marks.stop_m)
            std::fill_n(inputs.speed_ratio.begin(), station.real.pump_count, 1.0);
        water.step(step_s, inputs);
    }
    return water.state().overflow_m3;
}

}  // namespace freshet::staging_campaign
