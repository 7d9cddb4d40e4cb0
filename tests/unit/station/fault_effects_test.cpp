// Every fault that a scenario can name, on the whole station: it shows in what the station says, whether the
// scenario times it or an instructor sets it while the station runs.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <ostream>
#include <string>
#include <vector>

#include "config/devices.hpp"
#include "sim_plant/station/plant.hpp"
#include "tests/unit/station/sample_station.hpp"

namespace freshet::plant {
namespace {

using config::FaultKind;

struct Shows {
    const char* device;
    FaultKind kind;
    double amount = 0;
};

void PrintTo(const Shows& fault, std::ostream* out) {
    *out << fault.device << ' ' << config::word_for(fault.kind);
}

constexpr double begins_s = 20, ends_s = 130;

/// A hand-over, a start and a stop, as a person with a watch would order them: pump 2 on the line; pump 1 on
/// the drive, synchronised and handed over; pump 3 on the drive; pump 2 stopped.
Orders orders_at(double t_s) {
    Orders orders;
    orders.pumps[1].line_side_close = t_s < 100;
    const bool first = t_s < 60.6, third = t_s >= 80;
    orders.pumps[0].drive_side_close = first;
    orders.pumps[0].line_side_close = t_s >= 60;
    orders.pumps[2].drive_side_close = third;
    orders.output_close = t_s < 60.3 || third;
    orders.drive_run = first || third;
    orders.speed_hz = t_s < 30 || third ? 50 : 60;
    orders.synchronise = t_s >= 30 && first;
    return orders;
}

/// All readings of the station, and the state of its link.
struct Said {
    std::vector<double> readings;
    std::vector<LinkState> link;

    bool operator==(const Said& other) const {
        if (link != other.link || readings.size() != other.readings.size()) return false;
        for (std::size_t i = 0; i < readings.size(); ++i) {
            const bool neither = std::isnan(readings[i]) && std::isnan(other.readings[i]);
            if (!neither && readings[i] != other.readings[i]) return false;
        }
        return true;
    }
};

enum class How : std::uint8_t { none, timed, by_hand };

Said said_with(const Shows& fault, How how) {
    config::Scenario scenario = steady_scenario(0.8);
    if (how == How::timed) scenario.faults.push_back({begins_s, 0, fault.device, fault.kind, fault.amount});
    Plant plant(sample_station(), scenario);
    Said said;
    for (int scan = 0; scan < static_cast<int>(ends_s * 10); ++scan) {
        const double t_s = scan * 0.1;
        if (how == How::by_hand && scan == static_cast<int>(begins_s * 10)) {
            EXPECT_TRUE(plant.set_fault(fault.device, fault.kind, fault.amount));
        }
        plant.step(orders_at(t_s));
        said.readings.insert(said.readings.end(), plant.readings().begin(), plant.readings().end());
        said.link.push_back(plant.link());
    }
    return said;
}

class EveryFault : public ::testing::TestWithParam<Shows> {};

TEST_P(EveryFault, shows_when_it_is_timed_and_when_it_is_set_by_hand) {
    static const Said sound = said_with({}, How::none);
    EXPECT_FALSE(said_with(GetParam(), How::timed) == sound);
    EXPECT_FALSE(said_with(GetParam(), How::by_hand) == sound);
}

const std::vector<Shows> shown_faults{// transmitters
                                      {"level_1", FaultKind::dead},
                                      {"level_1", FaultKind::frozen},
                                      {"level_1", FaultKind::erratic},
                                      {"level_1", FaultKind::offset, 0.4},
                                      {"level_2", FaultKind::lagging, 30},
                                      {"level_2", FaultKind::drops_out, 0.3},
                                      {"level_2", FaultKind::drift, 0.001},
                                      {"level_2", FaultKind::spike, 1},
                                      {"header_pressure", FaultKind::under_range},
                                      {"header_pressure", FaultKind::over_range},
                                      {"station_flow", FaultKind::frozen},
                                      // floats and other bits
                                      {"high_float", FaultKind::stuck_on},
                                      {"low_float", FaultKind::stuck_off},
                                      {"pump_1.seal_leak", FaultKind::stuck_on},
                                      // contactors
                                      {"pump_1.line_side", FaultKind::does_not_close},
                                      {"pump_2.line_side", FaultKind::does_not_open},
                                      {"pump_3.drive_side", FaultKind::closes_late, 0.4},
                                      {"pump_4.line_side", FaultKind::lies_closed},
                                      {"pump_2.line_side", FaultKind::lies_open},
                                      {"drive_output", FaultKind::does_not_open},
                                      // drive
                                      {"drive", FaultKind::trip},
                                      {"drive", FaultKind::never_in_sync},
                                      {"drive", FaultKind::slips_out_of_sync},
                                      {"drive", FaultKind::loses_reference},
                                      {"drive", FaultKind::not_ready},
                                      // pumps
                                      {"pump_2", FaultKind::trip},
                                      {"pump_2", FaultKind::blocked, 0.5},
                                      {"pump_2", FaultKind::worn, 0.1},
                                      {"pump_4", FaultKind::valve_stuck_open},
                                      {"pump_2", FaultKind::selector_off},
                                      {"pump_4", FaultKind::selector_hand},
                                      // supply
                                      {"line", FaultKind::dip, 0.2},
                                      {"line", FaultKind::wander, 0.2},
                                      {"line", FaultKind::lost},
                                      {"line", FaultKind::generator},
                                      // link and people
                                      {"link", FaultKind::link_lost},
                                      {"link", FaultKind::link_slow, 0.4},
                                      {"link", FaultKind::link_garbled, 0.5},
                                      {"emergency_stop", FaultKind::emergency_stop}};

INSTANTIATE_TEST_SUITE_P(scenario, EveryFault, ::testing::ValuesIn(shown_faults));

TEST(EveryFault, of_the_vocabulary_is_in_this_list) {
    for (int kind = 0; kind <= static_cast<int>(FaultKind::selector_hand); ++kind) {
        const bool listed = std::any_of(shown_faults.begin(), shown_faults.end(), [kind](const Shows& fault) {
            return fault.kind == static_cast<FaultKind>(kind);
        });
        EXPECT_TRUE(listed) << config::word_for(static_cast<FaultKind>(kind));
    }
}

}  // namespace
}  // namespace freshet::plant
