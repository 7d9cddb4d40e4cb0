// What the ideal operators do; see the header.
#include "tests/property/staging/ideal_operators.hpp"

#include <algorithm>
#include <cmath>

#include "tests/property/staging/seconds.hpp"

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

/// A pump at rest, because a coasting motor would trip the drive. A pump that lets water flow back comes
/// first.
std::size_t PromptOperator::idle_pump(const plant::PowerTrainState& electrical) const {
    std::size_t idle = none;
    for (std::size_t pump = 0; pump < station_.given.pump_count; ++pump) {
        const bool ordered = orders_.pumps[pump].drive_side_close || orders_.pumps[pump].line_side_close;
        if (ordered || lost_.no_start[pump] || electrical.motors[pump].mode != plant::MotorMode::at_rest)
            continue;
        if (lost_.runs_back[pump]) return pump;
        if (idle == none) idle = pump;
    }
    return idle;
}

bool PromptOperator::must_stop(const plant::Plant& plant) {
    const plant::PowerTrainState& electrical = plant.electrical();
    if (lost_.station) {
        awaits_reset_ = true;
        resets_before_ = plant.people().resets;
    } else if (plant.people().resets != resets_before_) {
        awaits_reset_ = false;
    }
    const config::Supply& supply = station_.given.supply;
    const bool supply_lost = electrical.line_voltage_v < supply.drop_out_ratio * supply.voltage_v;
    return awaits_reset_ || supply_lost || plant.water().level_m < station_.settings.marks.stop_m;
}

/// A contactor that fell out needs a new order. The operator withdraws every order that no contactor follows.
void PromptOperator::withdraw_what_does_not_close(const plant::PowerTrainState& electrical) {
    constexpr double patience_s = 4;
    bool waits = orders_.output_close && !electrical.output_closed;
    for (std::size_t pump = 0; pump < station_.given.pump_count; ++pump) {
        const plant::MotorState& motor = electrical.motors[pump];
        waits = waits || (orders_.pumps[pump].drive_side_close && !motor.drive_side_closed) ||
                (orders_.pumps[pump].line_side_close && !motor.line_side_closed);
    }
    does_not_close_s_ = waits ? does_not_close_s_ + station_.settings.scan_ms * s_per_ms : 0;
    if (does_not_close_s_ <= patience_s) return;
    does_not_close_s_ = 0;
    if (orders_.output_close && !electrical.output_closed) orders_.output_close = orders_.drive_run = false;
    for (std::size_t pump = 0; pump < station_.given.pump_count; ++pump) {
        orders_.pumps[pump].drive_side_close &= electrical.motors[pump].drive_side_closed;
        orders_.pumps[pump].line_side_close &= electrical.motors[pump].line_side_closed;
    }
}

/// The sound pumps that run carry the inflow at full speed, and no idle pump lets water flow back.
bool PromptOperator::is_carried(const plant::Plant& plant) const {
    std::size_t sound = pumps_running(plant, station_.given.pump_count);
    bool runs_back = false;
    for (std::size_t pump = 0; pump < station_.given.pump_count; ++pump) {
        const bool runs = plant.electrical().motors[pump].mode >= plant::MotorMode::on_drive;
        if (runs && lost_.weak[pump]) --sound;
        runs_back = runs_back || (lost_.runs_back[pump] && !runs);
    }
    const double level_m = plant.water().level_m;
    return plant.inflow_m3s() <= station_.capacity.full_m3s(sound, level_m) &&
           !(runs_back && level_m > station_.settings.marks.setpoint_m);
}

const plant::Orders& PromptOperator::decide(const plant::Plant& plant) {
    const plant::PowerTrainState& electrical = plant.electrical();
    lost_ = lost_equipment(plant.faults(), electrical);
    if (must_stop(plant)) return orders_ = {};
    withdraw_what_does_not_close(electrical);
    const bool carried = is_carried(plant);
    const std::size_t pump = drive_pump();
    if (pump == none) {
        orders_.drive_run = orders_.synchronise = orders_.output_close = false;
        if (!carried) start_another(plant);
    } else if (orders_.pumps[pump].line_side_close) {
        finish_hand_over(electrical, pump);
    } else {
        run_on_drive(plant, pump, carried);
    }
    return orders_;
}

void PromptOperator::start_another(const plant::Plant& plant) {
    const plant::PowerTrainState& electrical = plant.electrical();
    if (lost_.drive || !electrical.drive_ready) return start_on_line(plant);
    const bool free =
        !electrical.output_closed && std::none_of(electrical.motors.begin(), electrical.motors.end(),
                                                  [](const auto& one) { return one.drive_side_closed; });
    const std::size_t next = idle_pump(electrical);
    if (free && next != none) orders_.pumps[next].drive_side_close = true;
}

void PromptOperator::start_on_line(const plant::Plant& plant) {
    const core::Settings::LineStart& line_start = station_.settings.line_start;
    const bool spaced = plant.time_ms() - line_start_ms_ >= line_start.spacing_ms;
    const std::size_t next = idle_pump(plant.electrical());
    if (!line_start.allowed || plant.electrical().on_generator || !spaced || next == none) return;
    orders_.pumps[next].line_side_close = true;
    line_start_ms_ = plant.time_ms();
}

void PromptOperator::finish_hand_over(const plant::PowerTrainState& electrical, std::size_t pump) {
    if (!electrical.motors[pump].line_side_closed) return;
    orders_.output_close = false;
    // An output that does not open leaves the drive side to part the two sources.
    if (electrical.output_closed && !lost_.drive) return;
    orders_.drive_run = orders_.synchronise = false;
    orders_.pumps[pump].drive_side_close = false;
}

void PromptOperator::leave_drive(std::size_t pump) {
    orders_.drive_run = orders_.synchronise = orders_.output_close = false;
    orders_.pumps[pump].drive_side_close = false;
}

void PromptOperator::run_on_drive(const plant::Plant& plant, std::size_t pump, bool carried) {
    const plant::PowerTrainState& electrical = plant.electrical();
    const plant::MotorState& motor = electrical.motors[pump];
    if (!electrical.drive_ready) return leave_drive(pump);
    if (!motor.drive_side_closed) return;
    if (!electrical.drive_running && motor.mode == plant::MotorMode::coasting) return leave_drive(pump);
    orders_.output_close = true;
    orders_.drive_run = electrical.output_closed;
    const double line_hz = electrical.line_frequency_hz;
    const bool low = plant.water().level_m < station_.settings.marks.setpoint_m;
    orders_.speed_hz = carried && low ? station_.settings.drive.speed_min_hz : line_hz;
    const bool stays = lost_.drive || lost_.hand_over;
    const bool hand_over = !carried && !stays && electrical.drive_running && idle_pump(electrical) != none;
    const bool at_line_frequency =
        std::abs(electrical.drive_frequency_hz - line_hz) < station_.settings.drive.tolerance_hz;
    orders_.synchronise = hand_over && (orders_.synchronise || at_line_frequency);
    orders_.pumps[pump].line_side_close = orders_.synchronise && electrical.drive_in_sync;
    if (!carried && stays) start_on_line(plant);
}

PromptRun literal_prompt(const RandomStation& station, const config::Scenario& scenario) {
    plant::Plant plant{station.real, scenario, station.settings.scan_ms};
    PromptOperator prompt{station, {}};
    constexpr double ms_per_s = 1000;
    const auto scans = static_cast<std::int64_t>(scenario.duration_s * ms_per_s) / station.settings.scan_ms;
    for (std::int64_t scan = 0; scan < scans; ++scan) plant.step(prompt.decide(plant));
    return {plant.water().overflow_m3, plant.figures().level_max_m};
}

}  // namespace freshet::staging_campaign
