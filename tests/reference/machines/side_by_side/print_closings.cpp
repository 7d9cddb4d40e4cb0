// Prints closings and run-ups of the textbook machines as JSON, for the comparison with scipy in this folder.
// One reason to change: a case that the comparison has.
#include <cstdio>

#include "sim_plant/physics/closing.hpp"
#include "sim_plant/physics/motor.hpp"
#include "tests/unit/machines/textbook_station.hpp"

namespace {

using namespace freshet::plant;

void print_closing(const char* before, const freshet::config::Motor& motor, const ClosingCase& closing) {
    const ClosingResult r = closing_study(motor, closing);
    std::printf(
        "%s\n  {\"horsepower\": %.0f, \"angle_deg\": %g, \"slip_hz\": %g, \"volts_difference\": %g, "
        "\"load\": %g, \"gap_s\": %g,"
        " \"peak_current_a\": %.9g, \"torque_max_nm\": %.9g, \"torque_min_nm\": %.9g}",
        before, motor.nameplate.power_w / 745.7, closing.angle_deg, closing.slip_hz,
        closing.volts_difference_ratio, closing.load_ratio, closing.gap_s, r.peak_current_a, r.torque_max_nm,
        r.torque_min_nm);
}

/// Time from rest to a speed on the line, with a fan of rated torque at rated speed.
double run_up_s(const freshet::config::Motor& motor, double to_rad_s) {
    const MotorModel model(motor, 0);
    MotorShaft shaft;
    shaft.moving = true;
    const double rated = model.field_speed_per_hz * 60 * (1 - model.rated_slip);
    double t = 0;
    double before = 0;
    constexpr double part_s = 0.001;
    while (shaft.speed_rad_s < to_rad_s) {
        before = shaft.speed_rad_s;
        const double ratio = shaft.speed_rad_s / rated;
        advance_moving(model, shaft, part_s, {2300, 60}, model.rated_torque_nm * ratio * ratio);
        t += part_s;
    }
    return t - part_s * (shaft.speed_rad_s - to_rad_s) / (shaft.speed_rad_s - before);
}

}  // namespace

int main() {
    std::printf("{\"closings\": [");
    const char* before = "";
    for (const auto& motor : {testing::motor_500_hp(), testing::motor_2250_hp()}) {
        for (const ClosingCase& closing :
             {ClosingCase{.angle_deg = 5}, ClosingCase{.angle_deg = 60}, ClosingCase{.angle_deg = 180},
              ClosingCase{
                  .angle_deg = -45, .slip_hz = 0.5, .volts_difference_ratio = -0.05, .load_ratio = 0.6},
              ClosingCase{.angle_deg = 0, .gap_s = 0.1}, ClosingCase{.angle_deg = 20, .gap_s = 0.4}}) {
            print_closing(before, motor, closing);
            before = ",";
        }
    }
    std::printf(
        "\n],\n\"run_ups\": [\n  {\"horsepower\": 500, \"to_rad_s\": 180, \"seconds\": %.6f},\n"
        "  {\"horsepower\": 2250, \"to_rad_s\": 180, \"seconds\": %.6f}\n]}\n",
        run_up_s(testing::motor_500_hp(), 180), run_up_s(testing::motor_2250_hp(), 180));
    return 0;
}
