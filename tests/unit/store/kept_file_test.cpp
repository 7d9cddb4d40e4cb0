// The kept file: round trip, refusals, failures of the disk, and a process killed in the middle of its
// writes.
#include <gtest/gtest.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>

#include "controller/core/controller.hpp"
#include "hal/store/keeper.hpp"
#include "hal/store/kept_file.hpp"
#include "tests/doubles/scratch_folder.hpp"
#include "tests/doubles/station_double.hpp"
#include "tests/unit/store/kept_station.hpp"

namespace freshet::store {
namespace {

using doubles::bytes_of;
using doubles::ScratchFolder;
using testing::invented;
using testing::opened;

constexpr std::int64_t odd_ms = 1'931'234'567'300;

/// A number of alarms that makes a file with all alarms shelved a page longer.
const KeptStation large_station{"Invented station", core::pumps_max};

/// A different value in every member.
core::Retained well_used() {
    core::Retained kept;
    kept.seen_ms = odd_ms;
    for (std::uint8_t pump = 0; pump < invented.pump_count; ++pump) {
        core::RetainedPump& one = kept.pumps[pump];
        one.run_ms = 3'600'000LL * (pump + 7);
        one.starts = 4'000'000'000U + pump;
        one.line_starts = 2U + pump;
        one.started_ms = odd_ms - 5000 - pump;
        one.released_ms = odd_ms - 9000 - pump;
        one.fed = pump == 1;
        one.fed_ms = one.fed ? core::never_ms : odd_ms - 9100 - pump;
        one.retry_after_ms = odd_ms + 30'000 + pump;
        one.attempts = static_cast<std::uint8_t>(1 + pump);
        one.locked_out = pump == 2;
        one.involuntary = pump == 0;
        one.succession_starts = static_cast<std::uint8_t>(2 + pump);
        one.succession_warm = pump == 3;
        one.recent_starts_ms.back() = odd_ms - 5000 - pump;
        one.recent_starts_ms[core::hourly_max - 2] = odd_ms - 900'000 - pump;
        one.recent_trips_ms.back() = odd_ms - 700'000 - pump;
        one.alarms.latched = core::alarm_bit(core::PumpAlarm::locked_out);
        one.alarms.unacknowledged = core::alarm_bit(core::PumpAlarm::tripped);
        one.alarms.shelved_until_ms[static_cast<std::size_t>(core::PumpAlarm::seal_leak)] = odd_ms + 60'000;
    }
    kept.recent_transfers_ms.fill(odd_ms - 1000);
    kept.drive_trips_ms.back() = odd_ms - 800'000;
    kept.drive_trips_spent = true;
    kept.last_start_ms = odd_ms - 5000;
    kept.last_line_start_ms = odd_ms - 6000;
    kept.transfer_retry_after_ms = odd_ms + 1;
    kept.drive_retry_after_ms = odd_ms + 2;
    kept.transfer_attempts = 2;
    kept.drive_attempts = 3;
    kept.drive_locked_out = true;
    kept.reset_awaited = true;
    kept.alarms.out_of_service = core::alarm_bit(core::StationAlarm::transmitter_2);
    kept.alarms.latched = core::alarm_bit(core::StationAlarm::drive_locked_out);
    return kept;
}

/// Every hour and start is the same number, so that a partial write is visible.
core::Retained all_equal_to(std::uint32_t number) {
    core::Retained kept;
    kept.seen_ms = odd_ms + number;
    for (std::uint8_t pump = 0; pump < invented.pump_count; ++pump) {
        kept.pumps[pump].run_ms = number;
        kept.pumps[pump].starts = number;
        kept.pumps[pump].recent_starts_ms.back() = number;
    }
    kept.recent_transfers_ms.back() = number;
    return kept;
}

std::string refusal(const std::filesystem::path& path, const KeptStation& station = invented) {
    const auto file = KeptFile::open(path, station);
    return file ? std::string() : file.error().message;
}

enum class Log { taken_in, stays };

void run_sql(const std::filesystem::path& path, const std::string& text, Log log = Log::taken_in) {
    sqlite3* base = nullptr;
    ASSERT_EQ(sqlite3_open(path.c_str(), &base), SQLITE_OK);
    if (log == Log::stays) sqlite3_db_config(base, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, nullptr);
    EXPECT_EQ(sqlite3_exec(base, text.c_str(), nullptr, nullptr, nullptr), SQLITE_OK) << sqlite3_errmsg(base);
    sqlite3_close(base);
}

core::Retained all_shelved() {
    core::Retained kept = well_used();
    kept.alarms.shelved_until_ms.fill(odd_ms);
    for (core::RetainedPump& one : kept.pumps) one.alarms.shelved_until_ms.fill(odd_ms);
    return kept;
}

void write_once(const std::filesystem::path& path, const core::Retained& kept,
                const KeptStation& station = invented) {
    KeptFile file = opened(path, station);
    const auto failure = file.write(kept);
    ASSERT_FALSE(failure) << failure->message;
}

TEST(KeptFile, that_is_new_has_no_data) {
    const ScratchFolder folder;
    const KeptFile file = opened(folder / "kept");
    EXPECT_FALSE(file.found());
}

TEST(KeptFile, gives_back_all_that_was_written) {
    const ScratchFolder folder;
    write_once(folder / "kept", well_used());
    const KeptFile file = opened(folder / "kept");
    ASSERT_TRUE(file.found());
    EXPECT_EQ(*file.found(), well_used());
}

TEST(KeptFile, gives_back_the_last_of_many_writes) {
    const ScratchFolder folder;
    {
        KeptFile file = opened(folder / "kept");
        EXPECT_FALSE(file.write(well_used()));
        EXPECT_FALSE(file.write(all_equal_to(41)));
        EXPECT_FALSE(file.write(all_equal_to(42)));
    }
    const KeptFile file = opened(folder / "kept");
    EXPECT_EQ(*file.found(), all_equal_to(42));
}

TEST(KeptFile, of_another_station_is_refused_and_named) {
    const ScratchFolder folder;
    write_once(folder / "kept", well_used());
    run_sql(folder / "kept", "PRAGMA journal_mode = DELETE");
    const std::string before = bytes_of(folder / "kept");
    const std::string other = refusal(folder / "kept", {"Another station", 4});
    EXPECT_TRUE(bytes_of(folder / "kept") == before);
    EXPECT_NE(other.find("'Invented station' with 4 pumps; this station is 'Another station'"),
              std::string::npos)
        << other;
    EXPECT_NE(refusal(folder / "kept", {"Invented station", 3}), "");
    EXPECT_EQ(refusal(folder / "kept"), "");
}

TEST(KeptFile, of_a_newer_layout_is_refused_and_left_as_it_is) {
    const ScratchFolder folder;
    write_once(folder / "kept", well_used());
    // The program that made the file may keep its log in another way.
    run_sql(folder / "kept", "PRAGMA journal_mode = DELETE; PRAGMA user_version = 5");
    const std::string before = bytes_of(folder / "kept");
    const std::string said = refusal(folder / "kept");
    EXPECT_NE(said.find("layout 5, made by a newer Freshet"), std::string::npos) << said;
    EXPECT_TRUE(bytes_of(folder / "kept") == before);
    run_sql(folder / "kept", "PRAGMA user_version = 4");
    EXPECT_EQ(refusal(folder / "kept"), "");
}

TEST(KeptFile, whose_log_has_a_newer_layout_is_refused_and_left_as_it_is) {
    const ScratchFolder folder;
    write_once(folder / "kept", well_used());
    // As a newer program leaves it that is killed before its log is taken into the file.
    run_sql(folder / "kept", "PRAGMA user_version = 5", Log::stays);
    const std::string file = bytes_of(folder / "kept"), log = bytes_of(folder / "kept-wal");
    ASSERT_FALSE(log.empty());
    EXPECT_NE(refusal(folder / "kept").find("layout 5"), std::string::npos) << refusal(folder / "kept");
    EXPECT_TRUE(bytes_of(folder / "kept") == file);
    EXPECT_TRUE(bytes_of(folder / "kept-wal") == log);
}

/// The file as the third layout had it, without trips.
void make_third_layout(const std::filesystem::path& path) {
    run_sql(path,
            "ALTER TABLE station DROP COLUMN drive_trips_spent; DROP TABLE trip; PRAGMA user_version = 3");
}

/// The file as the second layout had it, also without the reset and without involuntary stops.
void make_second_layout(const std::filesystem::path& path) {
    make_third_layout(path);
    run_sql(path,
            "ALTER TABLE station DROP COLUMN reset_awaited; ALTER TABLE pump DROP COLUMN involuntary; "
            "PRAGMA user_version = 2");
}

/// The file as the first layout had it, also without the time when a pump was last seen fed.
void make_first_layout(const std::filesystem::path& path) {
    make_second_layout(path);
    run_sql(path,
            "ALTER TABLE pump DROP COLUMN fed; ALTER TABLE pump DROP COLUMN fed_ms; "
            "PRAGMA user_version = 1");
}

/// What the third layout keeps of a station, as the present layout shows the data.
core::Retained without_trips(core::Retained kept) {
    kept.drive_trips_ms = core::HourlyCount{}.at_ms;
    kept.drive_trips_spent = false;
    for (core::RetainedPump& pump : kept.pumps) pump.recent_trips_ms = core::HourlyCount{}.at_ms;
    return kept;
}

/// What the second layout keeps.
core::Retained without_reset(const core::Retained& given) {
    core::Retained kept = without_trips(given);
    kept.reset_awaited = false;
    for (core::RetainedPump& pump : kept.pumps) pump.involuntary = false;
    return kept;
}

TEST(KeptFile, of_the_third_layout_is_read_without_trips_and_is_written_in_the_present_layout) {
    const ScratchFolder folder;
    write_once(folder / "kept", well_used());
    make_third_layout(folder / "kept");
    EXPECT_EQ(*opened(folder / "kept").found(), without_trips(well_used()));
    write_once(folder / "kept", well_used());
    EXPECT_EQ(*opened(folder / "kept").found(), well_used());
}

TEST(KeptFile, of_the_second_layout_is_read_without_a_reset_and_is_written_in_the_present_layout) {
    const ScratchFolder folder;
    write_once(folder / "kept", well_used());
    make_second_layout(folder / "kept");
    EXPECT_EQ(*opened(folder / "kept").found(), without_reset(well_used()));
    write_once(folder / "kept", well_used());
    EXPECT_EQ(*opened(folder / "kept").found(), well_used());
}

TEST(KeptFile, of_the_first_layout_is_read_with_no_run_credited_and_is_written_in_the_present_layout) {
    const ScratchFolder folder;
    write_once(folder / "kept", well_used());
    make_first_layout(folder / "kept");
    core::Retained older = without_reset(well_used());
    for (std::uint8_t pump = 0; pump < invented.pump_count; ++pump) {
        older.pumps[pump].fed = false;
        older.pumps[pump].fed_ms = older.pumps[pump].started_ms;
    }
    EXPECT_EQ(*opened(folder / "kept").found(), older);
    EXPECT_EQ(*opened(folder / "kept").found(), older) << "the second time it is of the present layout";
    write_once(folder / "kept", well_used());
    EXPECT_EQ(*opened(folder / "kept").found(), well_used());
}

TEST(KeptFile, of_the_first_layout_and_another_station_is_refused_and_left_as_it_is) {
    const ScratchFolder folder;
    write_once(folder / "kept", well_used());
    run_sql(folder / "kept", "PRAGMA journal_mode = DELETE");
    make_first_layout(folder / "kept");
    const std::string before = bytes_of(folder / "kept");
    EXPECT_NE(refusal(folder / "kept", {"Another station", 4}), "");
    EXPECT_TRUE(bytes_of(folder / "kept") == before);
}

TEST(KeptFile, of_a_layout_that_never_was_is_damage) {
    const ScratchFolder folder;
    write_once(folder / "kept", well_used());
    run_sql(folder / "kept", "PRAGMA user_version = 0");
    EXPECT_NE(refusal(folder / "kept").find("is damaged"), std::string::npos);
}

TEST(KeptFile, that_is_something_else_is_refused) {
    const ScratchFolder folder;
    std::ofstream(folder / "letter") << std::string(5000, 'x');
    EXPECT_NE(refusal(folder / "letter").find("is not a kept file"), std::string::npos);
    run_sql(folder / "other", "CREATE TABLE a (b)");
    const std::string before = bytes_of(folder / "other");
    EXPECT_NE(refusal(folder / "other").find("is not a kept file"), std::string::npos);
    EXPECT_TRUE(bytes_of(folder / "other") == before) << "somebody else's file is left as it was";
    EXPECT_NE(refusal(folder.path()).find("is not a file"), std::string::npos);
}

TEST(KeptFile, that_is_empty_or_cut_off_is_damaged_and_not_new) {
    const ScratchFolder folder;
    std::ofstream(folder / "empty").flush();
    EXPECT_NE(refusal(folder / "empty").find("is empty"), std::string::npos);
    write_once(folder / "cut", well_used());
    std::filesystem::resize_file(folder / "cut", std::filesystem::file_size(folder / "cut") / 2);
    EXPECT_NE(refusal(folder / "cut").find("is damaged"), std::string::npos) << refusal(folder / "cut");
}

TEST(KeptFile, with_spoiled_pages_is_refused) {
    const ScratchFolder folder;
    write_once(folder / "kept", well_used());
    constexpr std::streamoff page = 4096;
    const auto pages = static_cast<std::streamoff>(std::filesystem::file_size(folder / "kept")) / page;
    {
        std::fstream file(folder / "kept", std::ios::in | std::ios::out | std::ios::binary);
        for (std::streamoff at = 1; at < pages; ++at) file.seekp(at * page).write("spoiled", 7);
    }
    EXPECT_NE(refusal(folder / "kept").find("is damaged"), std::string::npos) << refusal(folder / "kept");
}

TEST(KeptFile, with_an_alarm_of_no_known_name_or_a_pump_too_few_is_refused) {
    const ScratchFolder folder;
    write_once(folder / "kept", well_used());
    run_sql(folder / "kept", "INSERT INTO alarm VALUES (0, 'unheard_of', 0, 1, 0, NULL)");
    EXPECT_NE(refusal(folder / "kept").find("'unheard_of'"), std::string::npos);
    run_sql(folder / "kept", "DELETE FROM alarm; DELETE FROM pump WHERE pump = 4");
    EXPECT_NE(refusal(folder / "kept").find("is damaged"), std::string::npos);
}

TEST(KeptFile, knows_the_earlier_name_of_an_alarm) {
    const ScratchFolder folder;
    write_once(folder / "kept", well_used());
    run_sql(folder / "kept", "INSERT INTO alarm VALUES (0, 'low_float_contradicts', 0, 1, 0, NULL)");
    EXPECT_EQ(refusal(folder / "kept"), "");
}

TEST(KeptFile, that_is_missing_while_its_log_exists_is_not_created_again) {
    const ScratchFolder folder;
    std::ofstream(folder / "kept-wal") << "log";
    EXPECT_NE(refusal(folder / "kept").find("kept-wal"), std::string::npos);
    EXPECT_FALSE(std::filesystem::exists(folder / "kept"));
}

TEST(KeptFile, is_open_in_one_program_at_a_time) {
    const ScratchFolder folder;
    const KeptFile first = opened(folder / "kept");
    EXPECT_NE(refusal(folder / "kept").find("in use by another program"), std::string::npos)
        << refusal(folder / "kept");
}

TEST(KeptFile, in_a_folder_that_takes_no_file_is_refused_with_the_reason) {
    const ScratchFolder folder;
    EXPECT_NE(refusal(folder / "nowhere" / "kept"), "");
    // Nobody, root included, makes files here.
    EXPECT_NE(refusal("/proc/kept"), "");
}

TEST(KeptFile, on_a_full_disk_fails_without_harm_and_writes_again_when_there_is_room) {
    const ScratchFolder folder;
    write_once(folder / "kept", all_equal_to(1), large_station);
    {
        const auto pages = static_cast<std::uint32_t>(std::filesystem::file_size(folder / "kept") / 4096);
        KeptFile full = opened(folder / "kept", large_station, pages);
        const auto failure = full.write(all_shelved());
        ASSERT_TRUE(failure);
        EXPECT_NE(failure->message.find("the disk is full"), std::string::npos) << failure->message;
        EXPECT_FALSE(failure->lasting);
        EXPECT_FALSE(full.write(all_equal_to(2))) << "what needs no more room is still written";
    }
    KeptFile file = opened(folder / "kept", large_station);
    EXPECT_EQ(*file.found(), all_equal_to(2));
    EXPECT_FALSE(file.write(all_shelved()));
}

/// Writes 1, 2, 3 ... without end and reports each write that has returned.
[[noreturn]] void write_without_end(const std::filesystem::path& path, int told) {
    auto file = KeptFile::open(path, invented);
    if (!file) _exit(1);
    const std::uint32_t begin = file->found() ? file->found()->pumps[0].starts : 0;
    for (std::uint32_t number = begin + 1;; ++number) {
        if (file->write(all_equal_to(number))) _exit(2);
        if (::write(told, &number, sizeof number) != sizeof number) _exit(3);
    }
}

TEST(KeptFile, of_a_process_killed_in_the_middle_of_its_writes_is_whole_and_has_every_write_that_returned) {
    const ScratchFolder folder;
    std::uint32_t told = 0;
    for (int round = 0; round < 12; ++round) {
        int ends[2] = {-1, -1};
        ASSERT_EQ(::pipe(ends), 0);
        const pid_t child = ::fork();
        if (child == 0) write_without_end(folder / "kept", ends[1]);
        ::close(ends[1]);
        const std::uint32_t enough = told + 20U + static_cast<std::uint32_t>(round) * 7U;
        while (told < enough && ::read(ends[0], &told, sizeof told) == sizeof told) continue;
        ::kill(child, SIGKILL);
        int status = 0;
        ::waitpid(child, &status, 0);
        ASSERT_TRUE(WIFSIGNALED(status)) << WEXITSTATUS(status);
        while (::read(ends[0], &told, sizeof told) == sizeof told) continue;
        ::close(ends[0]);

        const KeptFile file = opened(folder / "kept");
        const std::uint32_t found = file.found()->pumps[0].starts;
        EXPECT_GE(found, told) << "a write that had returned is lost";
        EXPECT_LE(found, told + 1);
        EXPECT_EQ(*file.found(), all_equal_to(found)) << "half a write";
        told = found;
    }
}

TEST(Keeper, has_written_what_was_offered_last_when_it_is_closed) {
    const ScratchFolder folder;
    {
        Keeper keeper(opened(folder / "kept"));
        for (std::uint32_t number = 1; number <= 1000; ++number) keeper.offer(all_equal_to(number));
        EXPECT_FALSE(keeper.close());
        EXPECT_FALSE(keeper.news());
    }
    const KeptFile file = opened(folder / "kept");
    EXPECT_EQ(*file.found(), all_equal_to(1000));
}

TEST(Keeper, does_not_hurry_for_hours_but_for_a_start_or_a_lock_out) {
    const core::Retained before = well_used();
    core::Retained older = before, much_older = before, started = before, locked = before;
    older.seen_ms += 500;
    older.pumps[1].run_ms += 500;
    much_older.pumps[1].run_ms += hours_lost_ms;
    ++started.pumps[1].starts;
    locked.pumps[2].locked_out = !locked.pumps[2].locked_out;

    EXPECT_FALSE(changed_for_good(before, older));
    EXPECT_TRUE(changed_for_good(before, much_older));
    EXPECT_TRUE(changed_for_good(before, started));
    EXPECT_TRUE(changed_for_good(before, locked));
}

TEST(Keeper, does_not_hurry_while_a_pump_keeps_running_and_others_rest) {
    const core::Settings settings = doubles::four_pumps();
    core::Controller controller(settings);
    doubles::StationDouble station(settings);
    station.inflow_m3s = 0.6;
    const core::Advice* advice = nullptr;
    const auto run_for = [&](std::int64_t duration_ms) {
        for (const std::int64_t end = station.now_ms + duration_ms; station.now_ms < end;) {
            advice = &controller.scan(station.look());
            station.step(*advice);
        }
    };
    constexpr std::int64_t until_it_is_steady_ms = 600'000, look_ms = 500;
    run_for(until_it_is_steady_ms);
    ASSERT_NE(advice->drive_pump, core::no_pump);
    const core::Retained before = controller.retained();
    run_for(look_ms);
    const core::Retained now = controller.retained();
    ASSERT_GT(now.pumps[advice->drive_pump].run_ms, before.pumps[advice->drive_pump].run_ms);
    EXPECT_FALSE(changed_for_good(before, now));
}

TEST(Keeper, without_an_offer_leaves_the_file_as_it_was) {
    const ScratchFolder folder;
    write_once(folder / "kept", well_used());
    { Keeper keeper(opened(folder / "kept")); }
    EXPECT_EQ(*KeptFile::open(folder / "kept", invented)->found(), well_used());
}

TEST(Keeper, reports_a_disk_that_refused_its_last_write) {
    const ScratchFolder folder;
    write_once(folder / "kept", all_equal_to(1), large_station);
    const auto pages = static_cast<std::uint32_t>(std::filesystem::file_size(folder / "kept") / 4096);
    Keeper keeper(opened(folder / "kept", large_station, pages));
    keeper.offer(all_shelved());
    EXPECT_TRUE(keeper.close());
    EXPECT_TRUE(keeper.news());
    EXPECT_FALSE(keeper.news()) << "reported once";
}

}  // namespace
}  // namespace freshet::store
