// The numbers of the events of a scan. One reason to change: how events are numbered.
#include "controller/core/journal.hpp"

#include <gtest/gtest.h>

namespace freshet::core {
namespace {

TEST(Journal, numbers_the_events_beyond_its_room_and_marks_them_as_lost) {
    Advice advice;
    std::uint32_t last_number = 0;
    Journal journal(advice, last_number);
    for (std::size_t i = 0; i < events_max; ++i) journal.note(EventKind::service, 0, no_pump, Reason::none);
    EXPECT_EQ(advice.event_count, events_max);
    EXPECT_FALSE(advice.events_lost);

    EXPECT_EQ(journal.note(EventKind::service, 0, no_pump, Reason::service_worse), events_max + 1);
    EXPECT_EQ(advice.event_count, events_max);
    EXPECT_EQ(advice.events[events_max - 1].number, events_max) << "the noted events stay";
    EXPECT_TRUE(advice.events_lost);
}

}  // namespace
}  // namespace freshet::core
