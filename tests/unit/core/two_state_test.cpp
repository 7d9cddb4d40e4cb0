// A reader that keeps the words of the last scan gives the same words as a new reader, whatever changes, ages
// or returns. One reason to change: when a two-state signal counts as known.
#include <gtest/gtest.h>

#include <random>
#include <vector>

#include "controller/core/two_state.hpp"
#include "tests/doubles/station_double.hpp"
#include "tests/unit/core/durations.hpp"

namespace freshet::core {
namespace {

std::vector<Digital*> signals_of(Inputs& inputs, std::size_t pump_count) {
    std::vector<Digital*> all{&inputs.drive.output_closed, &inputs.drive.running, &inputs.drive.tripped,
                              &inputs.drive.ready,         &inputs.drive.in_sync, &inputs.emergency_stop,
                              &inputs.line.on_generator,   &inputs.high_float,    &inputs.low_float,
                              &inputs.emergency_stop_reset};
    for (std::size_t pump = 0; pump < pump_count; ++pump)
        for (Digital* one : {&inputs.pumps[pump].drive_side_closed, &inputs.pumps[pump].line_side_closed,
                             &inputs.pumps[pump].tripped, &inputs.pumps[pump].seal_leak})
            all.push_back(one);
    return all;
}

struct Field {
    Settings settings = doubles::four_pumps();
    doubles::StationDouble station{settings};
    Inputs inputs = station.look();
    std::vector<Digital*> signals = signals_of(inputs, settings.pump_count);
    TwoStateReader kept;

    /// A scan later by `step_ms`. Every reading grows older.
    void pass(std::int64_t time_ms) {
        const auto step_ms = static_cast<std::int32_t>(time_ms);
        inputs.time_ms += step_ms;
        for (Digital* signal : signals) signal->age_ms += step_ms;
        for (PumpInputs& pump : inputs.pumps)
            if (pump.selector.age_ms != never_read_ms) pump.selector.age_ms += step_ms;
    }
    void read_all() {
        for (Digital* signal : signals) signal->age_ms = 0;
        for (PumpInputs& pump : inputs.pumps) pump.selector.age_ms = 0;
    }
    TwoStateWords afresh() const {
        TwoStateReader reader;
        reader.read(inputs, settings);
        return reader.words();
    }
};

TEST(TwoStateReader, gives_the_words_of_a_new_reader_for_random_signals) {
    for (std::uint32_t seed = 1; seed <= 20; ++seed) {
        Field field;
        std::mt19937 dice(seed);
        const auto below = [&dice](std::uint32_t count) { return dice() % count; };
        int changes = 0;
        std::size_t unread = 0;
        for (int scan = 0; scan < 4000; ++scan) {
            field.pass(100);
            const TwoStateWords before = field.kept.words();
            const bool silent = scan % 400 > 340;  // longer than a reading stays valid
            const std::int32_t age_ms = field.signals[unread]->age_ms;
            if (!silent) field.read_all();
            field.signals[unread]->age_ms = age_ms;  // one signal is missed for a while
            if (below(20) == 0) field.signals[below(32) % field.signals.size()]->on ^= true;
            if (below(40) == 0)
                field.signals[below(64) % field.signals.size()]->quality = static_cast<Quality>(below(3));
            if (below(50) == 0) unread = below(64) % field.signals.size();
            PumpInputs& pump = field.inputs.pumps[below(4)];
            if (below(60) == 0) pump.selector.position = static_cast<Selector>(below(3));
            if (below(90) == 0) pump.selector.quality = static_cast<Quality>(below(3));
            if (below(90) == 0) pump.tripped.cause = below(2) == 0 ? Cause::not_fitted : Cause::none;

            const bool changed = field.kept.read(field.inputs, field.settings);

            ASSERT_EQ(field.kept.words(), field.afresh()) << "seed " << seed << ", scan " << scan;
            ASSERT_EQ(changed, !(field.kept.words() == before)) << "seed " << seed << ", scan " << scan;
            changes += changed ? 1 : 0;
        }
        EXPECT_GT(changes, 100) << "seed " << seed;
    }
}

TEST(TwoStateReader, knows_signals_that_are_all_off_in_the_first_scan) {
    Inputs inputs;
    const Settings settings = doubles::four_pumps();
    for (Digital* signal : signals_of(inputs, settings.pump_count))
        *signal = {0, false, Quality::good, Cause::none};
    for (PumpInputs& pump : inputs.pumps) pump.selector = {0, Selector::off, Quality::good, Cause::none};
    TwoStateReader reader;

    EXPECT_TRUE(reader.read(inputs, settings));
    EXPECT_TRUE(reader.words().of(StationSignal::drive_running).off);
    EXPECT_TRUE(reader.words().of(PumpSignal::selector_automatic, 3).off);
}

TEST(TwoStateReader, forgets_a_signal_in_the_scan_in_which_its_reading_becomes_too_old) {
    Field field;
    field.read_all();
    field.kept.read(field.inputs, field.settings);
    ASSERT_TRUE(field.kept.words().of(PumpSignal::line_side_closed, 3).off);

    field.pass(field.settings.signal.stale_ms);
    EXPECT_FALSE(field.kept.read(field.inputs, field.settings)) << "the reading is just valid";
    field.pass(1);
    EXPECT_TRUE(field.kept.read(field.inputs, field.settings));
    EXPECT_FALSE(field.kept.words().of(PumpSignal::line_side_closed, 3).off);
}

TEST(TwoStateReader, knows_a_signal_again_in_the_scan_in_which_it_is_read_again_unchanged) {
    Field field;
    field.read_all();
    field.kept.read(field.inputs, field.settings);
    field.pass(1_min);
    field.kept.read(field.inputs, field.settings);
    ASSERT_FALSE(field.kept.words().of(StationSignal::drive_running).off);

    field.pass(100);
    field.read_all();

    EXPECT_TRUE(field.kept.read(field.inputs, field.settings));
    EXPECT_TRUE(field.kept.words().of(StationSignal::drive_running).off);
}

}  // namespace
}  // namespace freshet::core
