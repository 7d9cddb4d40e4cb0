// The vessel of a booster against a worked example of the trade.
// One reason to change: a source for the draw-down of a vessel.
#include "config/engineering/vessel.hpp"

#include <gtest/gtest.h>

#include "config/hydraulics/gravity.hpp"
#include "config/loader/load.hpp"

namespace freshet::config::vessel {
namespace {

constexpr double pa_per_psi = 6894.757293168, gallon_m3 = 3.785411784e-3;

// A captive-air tank of 85 gal, pre-charge 28 psi, cut-in 30 psi, cut-out 50 psi: the draw-down is 25.1 gal
// with an atmosphere of 14.7 psi. Source: trade magazine column on pressure tank drawdown
// (nationaldriller.com, article 86087).
TEST(Vessel, draws_down_as_the_worked_example_of_a_captive_air_tank) {
    StationFile file = load_station_file(FRESHET_SOURCE_DIR "/config/stations/booster.toml").value();
    const auto head_m = [&](double psi) {
        return psi * pa_per_psi / (file.station.fluid.density_kgm3 * gravity_ms2);
    };
    file.station.air_vessel = {
        .air_volume_m3 = 85 * gallon_m3, .precharge_head_m = head_m(28), .polytropic_exponent = 1};
    const SleepCycle cycle = vessel_cycle(file.station, file.settings, head_m(30), head_m(50));
    EXPECT_NEAR(cycle.drawn_m3 / gallon_m3, 25.1, 0.05);
}

// T = 4 V / q at the worst inflow: UFC 3-240-04A (EI 11C201), para 7, V = t q / 4.
TEST(Vessel, starts_each_pump_as_often_as_the_volume_and_the_flow_say) {
    const StationFile file = load_station_file(FRESHET_SOURCE_DIR "/config/stations/booster.toml").value();
    const SleepCycle cycle = sleep_cycle(file.station, file.settings);
    const double worst_s = 4 * cycle.drawn_m3 / cycle.pump_m3s;
    EXPECT_NEAR(cycle.starts_per_hour_each, 3600 / worst_s / 3, 1e-9);
    EXPECT_NEAR(cycle.vessel_m3(cycle.starts_per_hour_each), file.station.air_vessel.air_volume_m3, 1e-9);
    EXPECT_NEAR(cycle.vessel_m3(0.5 * cycle.starts_per_hour_each), 2 * file.station.air_vessel.air_volume_m3,
                1e-9);
}

}  // namespace
}  // namespace freshet::config::vessel
