// Fill and draw held against the possible: the energy per volume of a steady inflow, against the least that
// the combinations of the station offer with the plant's own pumps, motors and drive.
// One reason to change: how much energy the draw may need, or what a combination offers.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iomanip>
#include <iostream>
#include <string>
#include <vector>

#include "config/electrics/motor_circuit.hpp"
#include "config/engineering/derive.hpp"
#include "sim_plant/bench/bench.hpp"
#include "sim_plant/physics/drive.hpp"
#include "sim_plant/physics/nameplate.hpp"
#include "tests/doubles/operating_point.hpp"
#include "tests/property/operator_cases/watched_run.hpp"

namespace freshet::operator_cases::fill_and_draw {
namespace {

constexpr double j_per_kwh = 3.6e6;

/// Flow and power of a combination, by the plant's own hydraulics, the circuit of the motor and the plant's
/// drive.
struct Offer {
    double flow_m3s = 0, power_w = 0;
    bool above_minimum = true;  ///< the drive pump delivers its minimum flow or more
};

class Offers {
  public:
    Offers(const config::Station& station, double level_m)
        : station_(station),
          level_m_(level_m),
          motor_(plant::with_circuit(station.motor)),
          drive_(station.drive, station.motor.nameplate.voltage_v, station.motor.nameplate.frequency_hz,
                 station.motor.nameplate.power_w) {}

    /// `drive_ratio`: speed of the drive pump over its speed on the line; zero: none.
    Offer at(std::size_t line_pumps, double drive_ratio) const {
        std::vector<double> speeds(line_pumps, config::line_speed_ratio(station_));
        if (drive_ratio > 0) speeds.push_back(drive_ratio * config::line_speed_ratio(station_));
        const doubles::OperatingPoint point = doubles::operating_point(station_, speeds, level_m_);
        Offer offer{point.total_flow_m3s, 0, true};
        if (drive_ratio > 0)
            offer.above_minimum =
                point.flow_m3s[line_pumps] >= speeds.back() * station_.pump.minimum_flow_m3s;
        for (std::size_t i = 0; i < speeds.size(); ++i) {
            const double shaft_rad_s = speeds[i] * rated_rad_s();
            const double torque_nm =
                point.shaft_power_w[i] / shaft_rad_s + motor_.friction_loss_w / field_rad_s();
            const double slip = config::slip_for_torque(motor_.circuit, motor_.poles, plate().frequency_hz,
                                                        plate().voltage_v, plate().frequency_hz, torque_nm);
            const double current_a = config::rated_supply_point(motor_, slip).current_a;
            const double copper_w = 3 * motor_.circuit.rs_ohm * current_a * current_a;
            // At rated flux the slip in rad/s follows from the torque, whatever the frequency is.
            const double feed_rad_s = shaft_rad_s + slip * field_rad_s();
            const double input_w = torque_nm * feed_rad_s + copper_w + motor_.core_loss_w;
            const bool on_drive = drive_ratio > 0 && i + 1 == speeds.size();
            offer.power_w += input_w + (on_drive ? drive_.loss_w(input_w) : 0);
        }
        return offer;
    }
    /// The least power, W, that carries an inflow: with the line pumps alone, with a drive pump at a speed
    /// that carries exactly the inflow, or with a drive pump that starts and stops.
    double least_w(double inflow_m3s) const {
        double least = 1e12;
        for (std::size_t k = 0; k < station_.pump_count; ++k) {
            const Offer alone = k > 0 ? at(k, 0) : Offer{};
            if (inflow_m3s < alone.flow_m3s) break;
            constexpr int speeds = 160;
            Offer before{};
            for (int i = 0; i <= speeds; ++i) {
                const double ratio = 0.5 + 0.5 * i / speeds;
                const Offer drawn = at(k, ratio);
                if (drawn.above_minimum && drawn.flow_m3s >= inflow_m3s) {
                    const double share = (inflow_m3s - alone.flow_m3s) / (drawn.flow_m3s - alone.flow_m3s);
                    least = std::min(least, alone.power_w + share * (drawn.power_w - alone.power_w));
                    if (i > 0 && before.above_minimum && before.flow_m3s < inflow_m3s) {
                        const double held =
                            (inflow_m3s - before.flow_m3s) / (drawn.flow_m3s - before.flow_m3s);
                        least = std::min(least, before.power_w + held * (drawn.power_w - before.power_w));
                    }
                }
                before = drawn;
            }
        }
        return least;
    }
    double most_m3s() const { return at(station_.pump_count, 0).flow_m3s; }

  private:
    const config::Nameplate& plate() const { return motor_.nameplate; }
    double field_rad_s() const { return config::synchronous_speed(plate().frequency_hz, motor_.poles); }
    double rated_rad_s() const { return station_.pump.rated_speed_rpm * 2 * std::numbers::pi / 60; }

    const config::Station& station_;
    double level_m_;
    config::Motor motor_;
    plant::Drive drive_;
};

struct Measured {
    double energy_kwh_m3 = 0;
    int starts_per_hour_max = 0, transfers = 0;
    double level_max_m = 0;
};

/// Whole cycles of the store: from a start of the drive pump after the first two hours to the last start.
Measured measured_at(Case one, double inflow_m3s) {
    constexpr double hours = 12, unjudged_s = 3 * s_per_h;
    one.scenario.weather.measured_inflow_m3s = {{0, inflow_m3s}, {hours * s_per_h, inflow_m3s}};
    one.scenario.duration_s = hours * s_per_h;
    one.scenario.initial_level_m = one.settings.marks.stage_down_m;
    bench::Bench bench{one.station, one.settings, one.scenario, one.plan};
    const double scan_s = one.settings.scan_ms * 1e-3;
    double from_j = -1, from_s = 0, to_j = 0, to_s = 0, level_max_m = 0, from_level_m = 0, to_level_m = 0;
    int transfers = 0;
    bool cycles = false;
    const auto scans = static_cast<std::int64_t>(one.scenario.duration_s / scan_s);
    for (std::int64_t scan = 0; scan < scans; ++scan) {
        const core::Advice& advice = bench.decide();
        bool starts = false;
        const double t_s = static_cast<double>(scan) * scan_s;
        for (std::size_t i = 0; i < advice.event_count; ++i) {
            const core::Event& event = advice.events[i];
            if (event.what != core::EventKind::sequence_begun) continue;
            const auto sequence = static_cast<core::Sequence>(event.detail);
            starts = starts || sequence == core::Sequence::start_on_drive;
            transfers += t_s > unjudged_s &&
                         (sequence == core::Sequence::hand_over || sequence == core::Sequence::take_back);
        }
        const plant::Plant& plant = bench.plant();
        if (t_s > unjudged_s && (starts || from_j < 0)) {
            if (starts && !cycles) from_j = -1;
            cycles = cycles || starts;
            if (from_j < 0) {
                from_j = plant.electrical().energy_j;
                from_s = t_s;
                from_level_m = plant.water().level_m;
            }
            to_j = plant.electrical().energy_j;
            to_s = t_s;
            to_level_m = plant.water().level_m;
        }
        if (t_s > unjudged_s && !cycles) {
            to_j = plant.electrical().energy_j;
            to_s = t_s;
            to_level_m = plant.water().level_m;
        }
        level_max_m = std::max(level_max_m, plant.water().level_m);
        bench.act(advice);
    }
    const double stored_m3 = (to_level_m > from_level_m ? 1 : -1) *
                             config::volume_between_m3(one.station, from_level_m, to_level_m);
    const record::RunSummary summary = bench.summary();
    return {(to_j - from_j) / j_per_kwh / (inflow_m3s * (to_s - from_s) - stored_m3),
            static_cast<int>(summary.starts_per_hour_max), transfers, level_max_m};
}

void judge(const std::string& name, const Case& one, int inflows) {
    // The draw goes through all levels between its marks.
    const core::Settings::Marks& marks = one.settings.marks;
    const Offers first(one.station, 0.5 * (marks.start_m + marks.stop_m));
    const Offers held(one.station, marks.setpoint_m);
    const Offers further(one.station, 0.5 * (marks.stage_up_m + marks.stage_down_m));
    const double one_pump_m3s = first.at(1, 0).flow_m3s;
    const double most_m3s = held.most_m3s();
    double worst = 0;
    for (int i = 0; i < inflows; ++i) {
        const double inflow_m3s = most_m3s * (0.02 + 0.94 * i / (inflows - 1));
        const Measured measured = measured_at(one, inflow_m3s);
        const Offers& offers = inflow_m3s < 0.7 * one_pump_m3s ? first
                               : inflow_m3s < one_pump_m3s     ? held
                                                               : further;
        const double least = offers.least_w(inflow_m3s) / inflow_m3s / j_per_kwh;
        const double excess = measured.energy_kwh_m3 / least - 1;
        worst = std::max(worst, excess);
        std::cout << std::setprecision(4) << name << " " << 1000 * inflow_m3s
                  << " L/s: " << measured.energy_kwh_m3 << " kWh/m3, least offered " << least << ", excess "
                  << 100 * excess << " %, at most " << measured.starts_per_hour_max
                  << " starts of a pump in an hour, transfers " << measured.transfers << ", highest level "
                  << measured.level_max_m << " m\n";
        EXPECT_LE(excess, 0.05) << inflow_m3s << " m3/s";
        EXPECT_LE(measured.starts_per_hour_max, one.settings.permissives.starts_per_hour_max);
        EXPECT_EQ(measured.transfers, 0) << inflow_m3s << " m3/s";
        EXPECT_LT(measured.level_max_m, marks.high_alarm_m);
    }
    std::cout << name << ": worst excess " << 100 * worst << " %\n";
}

Case drawing(Case one) {
    one.settings.draw.wanted = true;
    derive_again(one);
    return one;
}

TEST(FillAndDraw, needs_at_most_a_twentieth_more_energy_than_the_least_at_the_demonstration_station) {
    judge("demonstration", drawing(demonstration_well({{0, 0.1}, {s_per_h, 0.1}}, 3.2)), 30);
}

TEST(FillAndDraw, needs_at_most_a_twentieth_more_energy_than_the_least_at_a_small_station_of_three_pumps) {
    judge("three small pumps", drawing(scaled_well(3, 0.2, {{0, 0.1}, {s_per_h, 0.1}}, 3.2)), 30);
}

TEST(FillAndDraw, saves_a_third_of_the_energy_of_holding_at_a_small_inflow) {
    constexpr double inflow_m3s = 0.06;
    const Case holding = demonstration_well({{0, inflow_m3s}, {s_per_h, inflow_m3s}}, 3.2);
    const double held = measured_at(holding, inflow_m3s).energy_kwh_m3;
    const double drawn = measured_at(drawing(holding), inflow_m3s).energy_kwh_m3;
    std::cout << "demonstration at 60 L/s: held " << held << ", drawn " << drawn << " kWh/m3\n";
    EXPECT_LE(drawn, 0.126);
    EXPECT_LE(drawn, 2.0 / 3 * held);
}

TEST(FillAndDraw, gives_way_to_the_normal_staging_when_the_inflow_rises) {
    Case one = drawing(demonstration_well({{0, 0.06}, {7200, 0.06}, {7800, 2.2}, {14400, 2.2}}, 3.2));
    const Watched drawn = watched_run(one);
    one.settings.draw = {};
    const Watched held = watched_run(one);
    print("fill and draw, then 2.2 m3/s", drawn);
    print("hold, then 2.2 m3/s", held);
    EXPECT_EQ(drawn.overflow_m3, 0);
    constexpr double filled_m = 0.2;  // the store may be nearly full when the inflow rises
    EXPECT_LE(drawn.level_max_m, held.level_max_m + filled_m);
}

}  // namespace
}  // namespace freshet::operator_cases::fill_and_draw
