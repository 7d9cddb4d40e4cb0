// Schema, birth and checks of the kept file.
#include "hal/store/kept_layout.hpp"

#include <fmt/format.h>

#include <array>
#include <fstream>
#include <string>
#include <string_view>
#include <system_error>

#include "hal/store/appended_file.hpp"

namespace freshet::store {
namespace {

namespace fs = std::filesystem;

constexpr std::int64_t layout_version = 4;
constexpr std::int64_t application_id = 0x46525354;  // distinguishes our files from other databases
constexpr const char* schema = R"(
CREATE TABLE station (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    name TEXT NOT NULL,
    pumps INTEGER NOT NULL CHECK (pumps BETWEEN 1 AND 8),
    seen_ms INTEGER,
    last_start_ms INTEGER, last_line_start_ms INTEGER,
    transfer_retry_after_ms INTEGER, drive_retry_after_ms INTEGER,
    transfer_attempts INTEGER NOT NULL DEFAULT 0 CHECK (transfer_attempts BETWEEN 0 AND 255),
    drive_attempts INTEGER NOT NULL DEFAULT 0 CHECK (drive_attempts BETWEEN 0 AND 255),
    drive_locked_out INTEGER NOT NULL DEFAULT 0 CHECK (drive_locked_out IN (0, 1)),
    reset_awaited INTEGER NOT NULL DEFAULT 0 CHECK (reset_awaited IN (0, 1)),
    drive_trips_spent INTEGER NOT NULL DEFAULT 0 CHECK (drive_trips_spent IN (0, 1))
) STRICT;
CREATE TABLE pump (
    pump INTEGER PRIMARY KEY CHECK (pump BETWEEN 1 AND 8),
    run_ms INTEGER NOT NULL CHECK (run_ms >= 0),
    starts INTEGER NOT NULL CHECK (starts BETWEEN 0 AND 4294967295),
    line_starts INTEGER NOT NULL CHECK (line_starts BETWEEN 0 AND 4294967295),
    started_ms INTEGER, released_ms INTEGER, retry_after_ms INTEGER,
    attempts INTEGER NOT NULL CHECK (attempts BETWEEN 0 AND 255),
    locked_out INTEGER NOT NULL CHECK (locked_out IN (0, 1)),
    succession_starts INTEGER NOT NULL CHECK (succession_starts BETWEEN 0 AND 255),
    succession_warm INTEGER NOT NULL CHECK (succession_warm IN (0, 1)),
    fed INTEGER NOT NULL CHECK (fed IN (0, 1)),
    fed_ms INTEGER,
    involuntary INTEGER NOT NULL CHECK (involuntary IN (0, 1))
) STRICT;
-- Starts of a pump; pump 0 has the transfers of the drive.
CREATE TABLE recent (
    pump INTEGER NOT NULL CHECK (pump BETWEEN 0 AND 8),
    at_ms INTEGER NOT NULL
) STRICT;
-- Trips of a pump; pump 0 has the trips of the drive.
CREATE TABLE trip (
    pump INTEGER NOT NULL CHECK (pump BETWEEN 0 AND 8),
    at_ms INTEGER NOT NULL
) STRICT;
-- Pump 0 has the alarms of the station.
CREATE TABLE alarm (
    pump INTEGER NOT NULL CHECK (pump BETWEEN 0 AND 8),
    name TEXT NOT NULL,
    latched INTEGER NOT NULL CHECK (latched IN (0, 1)),
    unacknowledged INTEGER NOT NULL CHECK (unacknowledged IN (0, 1)),
    out_of_service INTEGER NOT NULL CHECK (out_of_service IN (0, 1)),
    shelved_until_ms INTEGER,
    PRIMARY KEY (pump, name)
) STRICT, WITHOUT ROWID;
)";

/// The first layout does not have the time until which a pump was fed, so no run is credited.
constexpr const char* from_first_layout = R"(
ALTER TABLE pump ADD COLUMN fed INTEGER NOT NULL DEFAULT 0 CHECK (fed IN (0, 1));
ALTER TABLE pump ADD COLUMN fed_ms INTEGER;
UPDATE pump SET fed_ms = started_ms;
PRAGMA user_version = 2;
)";

/// The second layout knows neither the reset after an emergency stop nor involuntary stops.
constexpr const char* from_second_layout = R"(
ALTER TABLE station ADD COLUMN reset_awaited INTEGER NOT NULL DEFAULT 0 CHECK (reset_awaited IN (0, 1));
ALTER TABLE pump ADD COLUMN involuntary INTEGER NOT NULL DEFAULT 0 CHECK (involuntary IN (0, 1));
PRAGMA user_version = 3;
)";

/// The third layout does not know trips.
constexpr const char* from_third_layout = R"(
ALTER TABLE station ADD COLUMN drive_trips_spent INTEGER NOT NULL DEFAULT 0 CHECK (drive_trips_spent IN (0, 1));
CREATE TABLE trip (
    pump INTEGER NOT NULL CHECK (pump BETWEEN 0 AND 8),
    at_ms INTEGER NOT NULL
) STRICT;
PRAGMA user_version = 4;
)";

void check_layout(std::int64_t application, std::int64_t version) {
    if (application != application_id) refuse_other_format();
    if (version > layout_version)
        throw Refused{
            fmt::format("has layout {}, made by a newer Freshet; this Freshet knows layout {} and leaves the "
                        "file unchanged",
                        version, layout_version)};
    if (version < 1) refuse_damaged();
}

}  // namespace

void begin_file(const fs::path& path, const KeptStation& station) {
    std::error_code code;
    fs::path ahead = path;
    ahead += "-wal";
    if (fs::exists(ahead, code))
        throw Refused{"is missing, but its " + ahead.filename().string() +
                      " exists; put the file back, or move the other file away to start with a new file"};
    fs::path part = path;
    part += ".part";
    fs::remove(part, code);
    {
        const Base base = create_base(part);
        run(base.get(), "PRAGMA synchronous = FULL; BEGIN");
        run(base.get(), fmt::format("PRAGMA application_id = {}; PRAGMA user_version = {}", application_id,
                                    layout_version)
                            .c_str());
        run(base.get(), schema);
        Statement(base.get(), "INSERT INTO station (one, name, pumps) VALUES (1, ?, ?)")
            .with(station.name)
            .with(std::int64_t{station.pump_count})
            .step();
        run(base.get(), "COMMIT");
    }
    fs::rename(part, path, code);
    if (code) throw Refused{"cannot be put in place: " + code.message()};
    const fs::path folder = path.has_parent_path() ? path.parent_path() : fs::path(".");
    if (const auto failed = sync_folder(folder)) throw Refused{"is in place, but " + failed->message};
}

// The places of the bytes: "Database File Format", section 1.3, in SQLite's documentation.
void check_header(const fs::path& path) {
    constexpr std::size_t header_length = 100, version_at = 60, application_at = 68;
    constexpr std::string_view magic{"SQLite format 3", 16};  // with the final zero
    std::array<char, header_length> header{};
    std::ifstream(path, std::ios::binary).read(header.data(), header.size());
    const auto number = [&header](std::size_t at) {
        std::uint32_t value = 0;
        for (std::size_t i = 0; i < 4; ++i) value = value << 8 | static_cast<std::uint8_t>(header[at + i]);
        return std::int64_t{value};
    };
    if (std::string_view(header.data(), magic.size()) != magic) refuse_other_format();
    check_layout(number(application_at), number(version_at));
}

void check_file(sqlite3* base) {
    // Checked again, because a log that is not yet in the file may contain newer values.
    check_layout(ask(base, "PRAGMA application_id"), ask(base, "PRAGMA user_version"));
    Statement check(base, "PRAGMA integrity_check(1)");
    if (!check.step() || check.text(0) != "ok") refuse_damaged();
}

void check_station(sqlite3* base, const KeptStation& station) {
    Statement found(base, "SELECT name, pumps FROM station");
    if (!found.step()) refuse_damaged();
    if (found.text(0) == station.name && found.integer(1) == station.pump_count) return;
    throw Refused{fmt::format(
        "belongs to the station '{}' with {} pumps; this station is '{}' with {} pumps. Each station "
        "needs a file of its own",
        found.text(0), found.integer(1), station.name, station.pump_count)};
}

std::int64_t layout_of(sqlite3* base) {
    return ask(base, "PRAGMA user_version");
}

void upgrade(sqlite3* base) {
    if (layout_of(base) == 1) run(base, from_first_layout);
    if (layout_of(base) == 2) run(base, from_second_layout);
    if (layout_of(base) == 3) run(base, from_third_layout);
}

}  // namespace freshet::store
