// The overlap of a motor's two contactors: from the closing command to the end of the transfer.
// One reason to change: from when the overlap counts, or what bounds the overlap.
#include <gtest/gtest.h>

#include "controller/core/sequences.hpp"
#include "tests/unit/core/step_stand.hpp"

namespace freshet::core {
namespace {

/// A transfer that has just advised the closing of the second contactor.
struct Closing : StepStand {
    explicit Closing(Step step) : StepStand(row_of(step)) { run().closing_ms = now_ms; }
    /// Scans until `until_ms` after the closing command in which the step's condition is not confirmed.
    void wait_until(std::int64_t until_ms) {
        while (now_ms - start_ms < until_ms - stand_scan_ms) scan_without_confirmation();
    }
    void confirm() {
        pass();
        settle();
        in_sync = true;
        scan();
    }
    void output_stays_closed() {
        pass();
        settle();
        picture.output_closed = true;
        picture.output_open = false;
        scan();
    }
};

TEST(Overlap, of_a_hand_over_counts_from_the_closing_command) {
    Closing closing{Step::over_close_line_side};
    closing.settings.step.close_ms = 1000;
    closing.settings.step.overlap_ms = 500;
    closing.wait_until(300);
    closing.confirm();
    ASSERT_EQ(closing.step(), Step::over_open_output);
    closing.output_stays_closed();
    EXPECT_EQ(closing.step(), Step::over_open_output);
    closing.output_stays_closed();  // 500 ms after the closing command
    EXPECT_EQ(closing.step(), Step::over_fallback_drive_side);
}

TEST(Overlap, bounds_a_closing_whose_own_limit_is_longer) {
    Closing closing{Step::over_close_line_side};
    closing.settings.step.close_ms = 1000;
    closing.settings.step.overlap_ms = 500;
    closing.wait_until(500);
    ASSERT_EQ(closing.step(), Step::over_close_line_side);
    closing.scan_without_confirmation();
    EXPECT_EQ(closing.step(), Step::over_withdraw_line_side);
}

TEST(Overlap, that_the_closing_used_up_opens_output_and_drive_side_at_once) {
    Closing closing{Step::over_close_line_side};
    closing.settings.step.close_ms = 1000;
    closing.settings.step.overlap_ms = 500;
    closing.wait_until(500);
    closing.confirm();
    EXPECT_EQ(closing.step(), Step::over_fallback_drive_side);
    EXPECT_FALSE(closing.advice.output_close || closing.advice.pumps[stand_pump].drive_side_close);
    EXPECT_TRUE(closing.advice.pumps[stand_pump].line_side_close);
    EXPECT_TRUE(closing.nothing_raised());
}

TEST(Overlap, leaves_the_shorter_limit_of_a_closing_as_it_is) {
    Closing closing{Step::over_close_line_side};
    closing.settings.step.close_ms = 300;
    closing.settings.step.overlap_ms = 500;
    closing.wait_until(300);
    ASSERT_EQ(closing.step(), Step::over_close_line_side);
    closing.scan_without_confirmation();
    EXPECT_EQ(closing.step(), Step::over_withdraw_line_side);
}

TEST(Overlap, of_a_take_back_counts_from_the_closing_command) {
    Closing closing{Step::back_close_drive_side};
    closing.settings.step.close_ms = 1000;
    closing.settings.step.overlap_ms = 500;
    closing.wait_until(300);
    closing.confirm();
    ASSERT_EQ(closing.step(), Step::back_open_line_side);
    const auto line_side_stays_closed = [&] {
        closing.pass();
        closing.settle();
        closing.picture.line_side_open =
            static_cast<PumpMask>(closing.picture.line_side_open & ~bit_of(stand_pump));
        closing.picture.line_side_closed =
            static_cast<PumpMask>(closing.picture.line_side_closed | bit_of(stand_pump));
        closing.scan();
    };
    line_side_stays_closed();
    EXPECT_EQ(closing.step(), Step::back_open_line_side);
    line_side_stays_closed();
    EXPECT_EQ(closing.step(), Step::stop_open_drive_side);
}

}  // namespace
}  // namespace freshet::core
