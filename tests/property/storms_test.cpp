// The laws over random storms with random faults. A seed whose storm breaks a law is printed and can be
// repeated alone. One reason to change: the number of storms, and the printed figures.
//
//   FRESHET_STORMS          number of storms
//   FRESHET_STORM_SEED      first seed
//   FRESHET_STORM_FAILURES  number of failures that are printed
//   FRESHET_STORM_TRACE=1   prints every event
#include "tests/property/storms.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <iostream>
#include <memory>
#include <string>
#include <utility>

#include "tests/property/laws_allocations.hpp"

namespace freshet::storms {
namespace {

static_assert(noexcept(std::declval<core::Controller&>().scan(std::declval<const core::Inputs&>())),
              "a scan that could throw");

std::uint64_t from_environment(const char* name, std::uint64_t fallback) {
    const char* const text = std::getenv(name);
    return text == nullptr ? fallback : std::strtoull(text, nullptr, 10);
}

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr std::uint64_t storms_usual = 60;
#else
constexpr std::uint64_t storms_usual = 1000;
#endif
const std::uint64_t failures_shown = from_environment("FRESHET_STORM_FAILURES", 12);

class Storms : public testing::Test {
  protected:
    const std::uint64_t first_seed = from_environment("FRESHET_STORM_SEED", 1);
    const std::uint64_t storm_count = from_environment("FRESHET_STORMS", storms_usual);
    const bool trace = from_environment("FRESHET_STORM_TRACE", 0) != 0;
    static const Prototypes& prototypes() {
        static const Prototypes made = make_prototypes();
        return made;
    }
};

TEST(Allocations, are_counted) {
    const std::uint64_t before = laws::allocations_so_far();
    const auto allocated = std::make_unique<std::string>(1000, '-');
    EXPECT_GT(laws::allocations_so_far(), before + 1) << allocated->size();
}

TEST_F(Storms, break_no_law) {
    Outcome sum;
    std::uint64_t failed = 0;
    for (std::uint64_t seed = first_seed; seed < first_seed + storm_count; ++seed) {
        const Outcome one =
            run_storm(prototypes(), seed, {.trace = trace, .allocations = laws::allocations_so_far});
        sum.scans += one.scans;
        sum.starts += one.starts;
        sum.line_starts += one.line_starts;
        sum.hand_overs += one.hand_overs;
        sum.take_backs += one.take_backs;
        sum.withdrawn += one.withdrawn;
        sum.lock_outs += one.lock_outs;
        sum.protective_stops += one.protective_stops;
        sum.orders_obeyed += one.orders_obeyed;
        sum.resets += one.resets;
        if (one.events_most > sum.events_most) sum.events_most = one.events_most;
        if (one.broken.empty()) continue;
        if (++failed <= failures_shown) ADD_FAILURE() << described(one);
    }
    std::cout << storm_count << " storms, " << sum.scans << " scans: " << sum.starts
              << " starts on the drive, " << sum.line_starts << " line starts, " << sum.hand_overs
              << " hand-overs, " << sum.take_backs << " take-backs, " << sum.withdrawn
              << " sequences withdrawn, " << sum.lock_outs << " lock-outs, " << sum.protective_stops
              << " protective stops, " << sum.orders_obeyed << " orders about alarms, " << sum.resets
              << " resets; at most " << sum.events_most << " events in a scan\n";
    EXPECT_EQ(failed, 0U) << "storms that broke a law";
    if (storm_count < storms_usual) return;
    EXPECT_GT(sum.starts, 0);
    EXPECT_GT(sum.line_starts, 0);
    EXPECT_GT(sum.hand_overs, 0);
    EXPECT_GT(sum.take_backs, 0);
    EXPECT_GT(sum.withdrawn, 0);
    EXPECT_GT(sum.lock_outs, 0);
    EXPECT_GT(sum.protective_stops, 0);
    EXPECT_GT(sum.orders_obeyed, 0);
    EXPECT_GT(sum.resets, 0);
}

TEST_F(Storms, of_the_same_seed_have_the_same_digest) {
    constexpr std::uint64_t every = 25;
    for (std::uint64_t seed = first_seed; seed < first_seed + storm_count; seed += every) {
        const Outcome once = run_storm(prototypes(), seed, {.judge = false});
        const Outcome again = run_storm(prototypes(), seed, {.judge = false});
        ASSERT_EQ(once.digest, again.digest) << "seed " << seed;
        ASSERT_EQ(once.scans, again.scans) << "seed " << seed;
    }
}

}  // namespace
}  // namespace freshet::storms
