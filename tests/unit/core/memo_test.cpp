// A value that is kept with its key, and the time of a scan.
// One reason to change: how a computed value is kept, or when the slow task is due.
#include "controller/core/memo.hpp"

#include <gtest/gtest.h>

#include <cstdint>
#include <limits>

#include "controller/core/scan_clock.hpp"
#include "tests/unit/core/durations.hpp"
#include "tests/unit/core/instants.hpp"

namespace freshet::core {
namespace {

/// Squares a number, and counts how often it does so.
struct Squares {
    Memo<double, double> memo;
    int computed = 0;

    double of(double number) {
        return memo.at(number, [&] {
            ++computed;
            return number * number;
        });
    }
};

TEST(Memo, computes_the_value_of_the_first_key_even_if_it_equals_an_empty_key) {
    Squares squares;
    squares.memo.at(0, [&] {
        ++squares.computed;
        return 7.0;
    });
    EXPECT_EQ(squares.computed, 1);
    EXPECT_EQ(squares.of(0), 7) << "the kept value";
}

TEST(Memo, keeps_the_value_while_its_key_stays_the_same) {
    Squares squares;
    for (int i = 0; i < 3; ++i) EXPECT_EQ(squares.of(3), 9);
    EXPECT_EQ(squares.computed, 1);
}

TEST(Memo, computes_a_new_value_for_another_key_and_keeps_the_last_value_only) {
    Squares squares;
    EXPECT_EQ(squares.of(3), 9);
    EXPECT_EQ(squares.of(4), 16);
    EXPECT_EQ(squares.of(3), 9);
    EXPECT_EQ(squares.computed, 3);
}

TEST(Memo, computes_the_value_of_a_key_that_is_not_a_number_every_time) {
    Squares squares;
    for (int i = 0; i < 2; ++i) squares.of(std::numeric_limits<double>::quiet_NaN());
    EXPECT_EQ(squares.computed, 2);
}

TEST(ScanClock, takes_no_time_for_the_first_scan_and_runs_the_slow_task_in_it) {
    ScanClock clock;
    EXPECT_FALSE(clock.started());
    EXPECT_FALSE(clock.would_go_back(-1)) << "no scan was before";

    const ScanTime first = clock.advance(start_ms);

    EXPECT_TRUE(clock.started());
    EXPECT_EQ(first.now_ms, start_ms);
    EXPECT_EQ(first.elapsed_ms, 0);
    EXPECT_EQ(first.elapsed_s, 0);
    EXPECT_TRUE(first.second_passed);
}

TEST(ScanClock, knows_a_time_before_the_last_scan_and_keeps_the_last_time) {
    ScanClock clock;
    clock.advance(start_ms);
    EXPECT_TRUE(clock.would_go_back(start_ms - 1));
    EXPECT_FALSE(clock.would_go_back(start_ms)) << "the same time again";
    EXPECT_FALSE(clock.would_go_back(start_ms + 1));
    EXPECT_EQ(clock.last_ms(), start_ms);
}

TEST(ScanClock, after_a_stall_counts_the_whole_time_but_integrates_one_second_at_most) {
    ScanClock clock;
    clock.advance(start_ms);

    const ScanTime scan = clock.advance(start_ms + 250);
    EXPECT_EQ(scan.elapsed_ms, 250);
    EXPECT_DOUBLE_EQ(scan.elapsed_s, 0.25);

    const ScanTime after_a_stall = clock.advance(start_ms + 250 + 1_min);
    EXPECT_EQ(after_a_stall.elapsed_ms, 1_min);
    EXPECT_DOUBLE_EQ(after_a_stall.elapsed_s, 1);
    EXPECT_TRUE(after_a_stall.second_passed);
}

TEST(ScanClock, runs_the_slow_task_once_a_second) {
    ScanClock clock;
    int slow_tasks = 0;
    for (std::int64_t time_ms = start_ms; time_ms < start_ms + 10_s; time_ms += 100)
        slow_tasks += clock.advance(time_ms).second_passed ? 1 : 0;
    EXPECT_EQ(slow_tasks, 10);
}

TEST(ScanClock, counts_the_second_from_the_slow_task_before_and_not_from_the_scan_before) {
    ScanClock clock;
    clock.advance(start_ms);
    EXPECT_FALSE(clock.advance(start_ms + 999).second_passed);
    EXPECT_TRUE(clock.advance(start_ms + 1000).second_passed);
    EXPECT_FALSE(clock.advance(start_ms + 1999).second_passed);
    EXPECT_TRUE(clock.advance(start_ms + 2001).second_passed);
}

}  // namespace
}  // namespace freshet::core
