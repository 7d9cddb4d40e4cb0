// Station time as text and back, after RFC 3339.
// One reason to change: how an instant is written.
#include "controller/words/instant.hpp"

#include <gtest/gtest.h>

#include <cstdint>
#include <limits>

namespace freshet::words {
namespace {

TEST(Instant, of_zero_is_the_beginning_of_unix_time) {
    EXPECT_EQ(instant(0), "1970-01-01T00:00:00.000Z");
}

// RFC 3339 section 5.8, first example: 1985-04-12T23:20:50.52Z. The Unix time of that second is given by
// `date -u -d 1985-04-12T23:20:50Z +%s` (GNU coreutils): 482196050.
TEST(Instant, agrees_with_the_first_example_of_rfc_3339) {
    EXPECT_EQ(parse_instant("1985-04-12T23:20:50.52Z"), 482196050520);
    EXPECT_EQ(instant(482196050520), "1985-04-12T23:20:50.520Z");
}

// RFC 3339 section 5.8, second example and its equivalent as the section states it.
TEST(Instant, reads_a_numeric_offset_as_rfc_3339_explains_it) {
    EXPECT_EQ(parse_instant("1996-12-19T16:39:57-08:00"), parse_instant("1996-12-20T00:39:57Z"));
}

// `date -u -d TEXT +%s` (GNU coreutils) gives the seconds.
TEST(Instant, takes_a_space_before_the_time_and_an_offset_behind_it) {
    EXPECT_EQ(parse_instant("2031-05-14 02:00:00.250+02:00"), 1936483200250);
    EXPECT_EQ(parse_instant("2000-02-29T23:59:59-00:30"), 951870599000);
}

TEST(Instant, knows_the_leap_day_of_2000_and_that_1900_had_none) {
    EXPECT_TRUE(parse_instant("2000-02-29T00:00:00Z").has_value());
    EXPECT_FALSE(parse_instant("1900-02-29T00:00:00Z").has_value());
}

TEST(Instant, before_unix_time_counts_backwards) {
    EXPECT_EQ(instant(-1), "1969-12-31T23:59:59.999Z");
    EXPECT_EQ(parse_instant("1969-12-31T23:59:59.999Z"), -1);
}

TEST(Instant, comes_back_from_its_text_for_every_hour_of_four_years) {
    constexpr std::int64_t hour_ms = 3'600'000;
    for (std::int64_t i = 0; i < 4 * 8766; ++i) {
        const std::int64_t time_ms = 1'900'000'000'007 + i * hour_ms + i % 1000;
        ASSERT_EQ(parse_instant(instant(time_ms)), time_ms);
    }
}

TEST(Instant, beyond_the_years_it_can_write_stays_at_the_nearest) {
    EXPECT_EQ(instant(std::numeric_limits<std::int64_t>::min() / 2), "0000-01-01T00:00:00.000Z");
    EXPECT_EQ(instant(std::numeric_limits<std::int64_t>::max()), "9999-12-31T23:59:59.999Z");
}

TEST(Instant, refuses_a_text_that_is_not_an_instant) {
    for (const char* text :
         {"", "now", "2031-06-01", "2031-13-01T00:00:00Z", "2031-06-31T00:00:00Z", "2031-06-01T24:00:00Z",
          "2031-06-01T00:60:00Z", "2031-06-01T00:00:00", "2031-06-01T00:00:00.Z", "2031-06-01T00:00:60Z",
          "2031-06-01T00:00:00.0123456789Z", "2031-06-01T00:00:00+24:00", "2031-06-01T00:00:00Zx",
          "2031-06-01T00:00:00+0200"}) {
        EXPECT_FALSE(parse_instant(text).has_value()) << text;
    }
}

}  // namespace
}  // namespace freshet::words
