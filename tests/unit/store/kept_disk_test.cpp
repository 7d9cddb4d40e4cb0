// The kept file on a disk that loses power, fails at any call, or takes its time.
#include <gtest/gtest.h>

#include <chrono>
#include <future>

#include "hal/store/keeper.hpp"
#include "hal/store/kept_file.hpp"
#include "tests/doubles/scratch_folder.hpp"
#include "tests/unit/store/kept_station.hpp"
#include "tests/unit/store/shim_disk.hpp"

namespace freshet::store {
namespace {

using doubles::ScratchFolder;
using testing::invented;
using testing::opened;
using testing::ShimDisk;

core::Retained numbered(std::uint32_t number) {
    core::Retained kept;
    kept.seen_ms = 1'931'234'567'300 + number;
    for (std::uint8_t pump = 0; pump < invented.pump_count; ++pump) {
        kept.pumps[pump].run_ms = number;
        kept.pumps[pump].starts = number;
        kept.pumps[pump].recent_starts_ms.back() = number;
    }
    return kept;
}

/// The number in the file at `path`, complete; 0: no number yet.
std::uint32_t number_in(const std::filesystem::path& path) {
    const auto file = KeptFile::open(path, invented);
    EXPECT_TRUE(file) << file.error().message;
    if (!file || !file->found()) return 0;
    const std::uint32_t number = file->found()->pumps[0].starts;
    EXPECT_EQ(*file->found(), numbered(number)) << "half a write";
    return number;
}

TEST(LossOfPower, costs_nothing_of_a_write_that_has_returned) {
    const ScratchFolder folder;
    constexpr std::uint32_t writes = 60;  // enough for the log to be taken into the file more than once
    ShimDisk disk;
    KeptFile file = opened(folder / "kept");
    // The file itself was put in place by a rename that was synced.
    std::filesystem::copy_file(folder / "kept", folder / "kept.synced",
                               std::filesystem::copy_options::overwrite_existing);
    for (std::uint32_t number = 1; number <= writes; ++number) {
        ASSERT_FALSE(file.write(numbered(number)));
        ShimDisk::put_what_was_synced(folder / "kept", folder / "after");
        ASSERT_EQ(number_in(folder / "after"), number);
    }
}

TEST(FailingDisk, leaves_the_write_before_or_the_write_itself_whichever_call_fails) {
    int calls = 1;
    for (int n = 1; n <= calls; ++n) {
        const ScratchFolder folder;
        {
            ShimDisk disk;
            KeptFile file = opened(folder / "kept");
            ASSERT_FALSE(file.write(numbered(1)));
            disk.fail_from(0);
            ASSERT_FALSE(file.write(numbered(2)));
            calls = disk.calls();
            disk.fail_from(n);
            const auto failure = file.write(numbered(3));
            ASSERT_TRUE(failure) << "call " << n << " of " << calls;
            EXPECT_TRUE(failure->lasting) << failure->message;
        }
        const std::uint32_t found = number_in(folder / "kept");
        EXPECT_TRUE(found == 2 || found == 3) << found << " after call " << n;
    }
    EXPECT_GT(calls, 2) << "a write that makes no calls would prove nothing";
}

TEST(FailingDisk, that_lost_confirmed_data_is_not_written_to_again) {
    const ScratchFolder folder;
    ShimDisk disk;
    Keeper keeper(opened(folder / "kept"));
    disk.fail_from(1);
    keeper.offer(numbered(1));
    const auto failure = keeper.close();
    ASSERT_TRUE(failure);
    EXPECT_NE(failure->message.find("disk I/O error"), std::string::npos) << failure->message;
    EXPECT_TRUE(keeper.news());
}

TEST(SlowDisk, delays_no_scan) {
    const ScratchFolder folder;
    ShimDisk disk;
    Keeper keeper(opened(folder / "kept"));
    constexpr std::chrono::seconds limit{60};
    disk.hold_syncs(true);
    keeper.offer(numbered(1));
    EXPECT_TRUE(disk.wait_until_a_sync_is_held(limit));
    // The disk does not answer. The offers continue in a thread of their own, so that the test ends if it
    // does not.
    auto offered = std::async(std::launch::async, [&keeper] {
        for (std::uint32_t number = 2; number <= 10'000; ++number) keeper.offer(numbered(number));
        return !keeper.news();
    });
    EXPECT_EQ(offered.wait_for(limit), std::future_status::ready);
    disk.hold_syncs(false);
    EXPECT_TRUE(offered.get());
    EXPECT_FALSE(keeper.close());
}

}  // namespace
}  // namespace freshet::store
