// The least inputs with which a controller leaves the service `waiting`, as controller/core/inputs.hpp states
// them. One reason to change: the inputs that a controller needs before it takes over.
#include <gtest/gtest.h>

#include <string>
#include <utility>
#include <vector>

#include "controller/core/controller.hpp"
#include "tests/doubles/station_double.hpp"
#include "tests/unit/core/durations.hpp"
#include "tests/unit/core/instants.hpp"

namespace freshet::core {
namespace {

/// The least inputs with their names. All other inputs keep the state of an empty Inputs, which is "not
/// read".
std::vector<std::pair<std::string, Digital*>> least_of(Inputs& inputs, std::size_t pumps) {
    std::vector<std::pair<std::string, Digital*>> all{
        {"drive.running", &inputs.drive.running},
        {"drive.tripped", &inputs.drive.tripped},
        {"drive.output_closed", &inputs.drive.output_closed},
    };
    for (std::size_t p = 0; p < pumps; ++p) {
        const std::string pump = "pump " + std::to_string(p + 1);
        all.emplace_back(pump + " drive_side_closed", &inputs.pumps[p].drive_side_closed);
        all.emplace_back(pump + " line_side_closed", &inputs.pumps[p].line_side_closed);
    }
    return all;
}

struct GivenInputs {
    Settings settings = doubles::four_pumps();
    Quality quality = Quality::good;
    std::string missing{};                   ///< name of the signal that is never read
    void (*more)(Inputs& inputs) = nullptr;  ///< reads more than the least inputs
};

/// Service after a minute, and when the controller first left `waiting`.
struct End {
    Service service = Service::waiting;
    std::int64_t left_after_ms = never_ms;
    bool started = false;
};

End after_a_minute(const GivenInputs& given) {
    Controller controller(given.settings);
    Inputs inputs;
    End end;
    for (std::int64_t time_ms = start_ms; time_ms < start_ms + 1_min; time_ms += given.settings.scan_ms) {
        inputs.time_ms = time_ms;
        for (const auto& [name, signal] : least_of(inputs, given.settings.pump_count))
            if (name != given.missing) *signal = {0, false, given.quality, Cause::none};
        if (given.more != nullptr) given.more(inputs);
        const Advice& advice = controller.scan(inputs);
        end.service = advice.service;
        end.started = end.started || advice.drive_run || advice.sequence != Sequence::none;
        if (end.left_after_ms == never_ms && advice.service != Service::waiting)
            end.left_after_ms = time_ms - start_ms;
    }
    return end;
}

TEST(LeastInputs, lead_out_of_waiting_after_the_settling_time) {
    const GivenInputs least;
    const End end = after_a_minute(least);
    EXPECT_NE(end.service, Service::waiting);
    EXPECT_EQ(end.left_after_ms, least.settings.restart.settle_ms);
}

TEST(LeastInputs, of_uncertain_quality_are_enough) {
    EXPECT_NE(after_a_minute({.quality = Quality::uncertain}).service, Service::waiting);
}

TEST(LeastInputs, start_no_pump) {
    const End end = after_a_minute({});
    EXPECT_EQ(end.service, Service::hold) << "no level and no float is read";
    EXPECT_FALSE(end.started);
}

TEST(LeastInputs, start_a_pump_with_a_level_a_selector_at_automatic_and_a_trip_read_as_false) {
    GivenInputs with_level{.more = [](Inputs& inputs) {
        inputs.level[0].reading = {2.5, 0, Quality::good, Cause::none};
        inputs.pumps[2].selector = {0, Selector::automatic, Quality::good, Cause::none};
        inputs.pumps[2].tripped = {0, false, Quality::good, Cause::none};
    }};
    with_level.settings.permissives.rest_min_ms =
        0;  // the rest of a pump that is found off begins with the first scan
    EXPECT_TRUE(after_a_minute(with_level).started);
}

TEST(LeastInputs, leave_the_controller_waiting_when_one_of_them_is_missing) {
    Inputs names;
    const Settings settings = doubles::four_pumps();
    for (const auto& [name, signal] : least_of(names, settings.pump_count))
        EXPECT_EQ(after_a_minute({.missing = name}).service, Service::waiting) << name;
}

TEST(LeastInputs, leave_the_controller_waiting_when_they_are_bad_or_stale) {
    EXPECT_EQ(after_a_minute({.quality = Quality::bad}).service, Service::waiting);
    const GivenInputs stale{.more = [](Inputs& inputs) {
        inputs.pumps[3].line_side_closed.age_ms = doubles::four_pumps().signal.stale_ms + 1;
    }};
    EXPECT_EQ(after_a_minute(stale).service, Service::waiting);
}

TEST(LeastInputs, are_needed_of_the_pumps_of_the_station_only) {
    GivenInputs two_pumps;
    two_pumps.settings.pump_count = 2;
    EXPECT_NE(after_a_minute(two_pumps).service, Service::waiting);
}

TEST(LeastInputs, leave_the_controller_waiting_while_the_line_is_read_and_poor) {
    const auto low_voltage = [](Inputs& inputs) {
        inputs.line.voltage_v = {1800, 0, Quality::good, Cause::none};  // 78 % of 2300 V
    };
    const auto low_frequency = [](Inputs& inputs) {
        inputs.line.frequency_hz = {56, 0, Quality::good, Cause::none};  // 7 % off 60 Hz
    };
    EXPECT_EQ(after_a_minute({.more = low_voltage}).service, Service::waiting);
    EXPECT_EQ(after_a_minute({.more = low_frequency}).service, Service::waiting);
    const auto healthy = [](Inputs& inputs) {
        inputs.line.voltage_v = {2300, 0, Quality::good, Cause::none};
        inputs.line.frequency_hz = {60, 0, Quality::good, Cause::none};
    };
    EXPECT_NE(after_a_minute({.more = healthy}).service, Service::waiting);
}

}  // namespace
}  // namespace freshet::core
