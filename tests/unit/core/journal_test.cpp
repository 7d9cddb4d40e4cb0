// The numbering of events within a scan.
#include "controller/core/journal.hpp"

#include <gtest/gtest.h>

namespace freshet::core {
namespace {

TEST(Journal, goes_on_counting_events_for_which_a_scan_has_no_room_and_says_that_some_are_lost) {
    Advice advice;
    std::uint32_t last_number = 0;
    Journal journal(advice, last_number);
    for (std::size_t i = 0; i < events_max; ++i) journal.note(EventKind::service, 0, no_pump, Reason::none);
    EXPECT_EQ(advice.event_count, events_max);
    EXPECT_FALSE(advice.events_lost);

    EXPECT_EQ(journal.note(EventKind::service, 0, no_pump, Reason::service_worse), events_max + 1);
    EXPECT_EQ(advice.event_count, events_max);
    EXPECT_EQ(advice.events[events_max - 1].number, events_max) << "what was noted stands";
    EXPECT_TRUE(advice.events_lost);
}

}  // namespace
}  // namespace freshet::core
