// SQLite in one place; see the header. Inside this file an error is thrown as Refused and turned into a
// result at its edge.
#include "hal/store/kept_file.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <fstream>
#include <string_view>
#include <system_error>
#include <utility>

#include <fmt/format.h>
#include <sqlite3.h>

#include "controller/words/alarms.hpp"

namespace freshet::store {
namespace {

namespace fs = std::filesystem;

constexpr std::int64_t layout_version = 2;
constexpr std::int64_t application_id = 0x46525354;  // tells our files from other databases
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
    drive_locked_out INTEGER NOT NULL DEFAULT 0 CHECK (drive_locked_out IN (0, 1))
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
    fed_ms INTEGER
) STRICT;
-- Starts of a pump; transfers of the drive stand under pump 0.
CREATE TABLE recent (
    pump INTEGER NOT NULL CHECK (pump BETWEEN 0 AND 8),
    at_ms INTEGER NOT NULL
) STRICT;
-- Alarms of the station stand under pump 0.
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

/// The first layout did not say until when a pump was fed: no run is credited.
constexpr const char* from_first_layout = R"(
ALTER TABLE pump ADD COLUMN fed INTEGER NOT NULL DEFAULT 0 CHECK (fed IN (0, 1));
ALTER TABLE pump ADD COLUMN fed_ms INTEGER;
UPDATE pump SET fed_ms = started_ms;
PRAGMA user_version = 2;
)";
constexpr const char* fed_columns(std::int64_t layout) {
    return layout == 1 ? "0, started_ms" : "fed, fed_ms";
}

struct Refused {
    std::string why;
    bool lasting = false;
};

[[noreturn]] void refuse(sqlite3* base, int code) {
    switch (code & 0xFF) {
        case SQLITE_NOTADB:
            throw Refused{"is no kept file; name another file, or move it away to begin anew", true};
        case SQLITE_CORRUPT:
            throw Refused{"is damaged; put a copy in its place, or move it away to begin anew", true};
        case SQLITE_BUSY:
        case SQLITE_LOCKED:
            throw Refused{"is held by another program; each controller needs a file of its own"};
        case SQLITE_FULL:
            throw Refused{"cannot be written: the disk is full"};
        default:
            // The disk broke its word, or the file was moved away or taken over.
            throw Refused{std::string(base != nullptr ? sqlite3_errmsg(base) : sqlite3_errstr(code)),
                          (code & 0xFF) == SQLITE_IOERR || (code & 0xFF) == SQLITE_READONLY};
    }
}

/// A prepared statement, bound from left to right.
class Statement {
  public:
    Statement(sqlite3* base, const char* text) : base_(base) {
        const int code = sqlite3_prepare_v2(base, text, -1, &statement_, nullptr);
        if (code != SQLITE_OK) refuse(base, code);
    }
    ~Statement() { sqlite3_finalize(statement_); }
    Statement(const Statement&) = delete;
    Statement& operator=(const Statement&) = delete;

    Statement& with(std::int64_t value) {
        sqlite3_bind_int64(statement_, ++bound_, value);
        return *this;
    }
    Statement& with_time(std::int64_t time_ms) {
        if (time_ms != core::never_ms) return with(time_ms);
        sqlite3_bind_null(statement_, ++bound_);
        return *this;
    }
    Statement& with(std::string_view text) {
        sqlite3_bind_text(statement_, ++bound_, text.data(), static_cast<int>(text.size()), SQLITE_TRANSIENT);
        return *this;
    }
    /// True while there is a row.
    bool step() {
        const int code = sqlite3_step(statement_);
        if (code == SQLITE_ROW) return true;
        if (code != SQLITE_DONE) refuse(base_, code);
        return false;
    }
    std::int64_t integer(int column) const { return sqlite3_column_int64(statement_, column); }
    std::int64_t time(int column) const {
        return sqlite3_column_type(statement_, column) == SQLITE_NULL ? core::never_ms : integer(column);
    }
    std::string text(int column) const {
        const auto* bytes = reinterpret_cast<const char*>(sqlite3_column_text(statement_, column));
        return bytes != nullptr ? std::string(bytes) : std::string();
    }

  private:
    sqlite3* base_;
    sqlite3_stmt* statement_ = nullptr;
    int bound_ = 0;
};

struct Close {
    void operator()(sqlite3* base) const noexcept { sqlite3_close_v2(base); }
};
using Base = std::unique_ptr<sqlite3, Close>;

void run(sqlite3* base, const char* text) {
    const int code = sqlite3_exec(base, text, nullptr, nullptr, nullptr);
    if (code != SQLITE_OK) refuse(base, code);
}

std::int64_t ask(sqlite3* base, const char* text) {
    Statement statement(base, text);
    return statement.step() ? statement.integer(0) : 0;
}

Base opened(const fs::path& path, int flags) {
    sqlite3* raw = nullptr;
    const int code = sqlite3_open_v2(path.c_str(), &raw, flags | SQLITE_OPEN_NOMUTEX, nullptr);
    Base base(raw);
    if (code != SQLITE_OK) refuse(raw, code);
    sqlite3_extended_result_codes(raw, 1);
    return base;
}

void sync_folder_of(const fs::path& path) {
    const fs::path folder = path.has_parent_path() ? path.parent_path() : fs::path(".");
    const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    const bool good = descriptor >= 0 && ::fsync(descriptor) == 0;
    const int code = errno;
    if (descriptor >= 0) ::close(descriptor);
    if (!good) throw Refused{"its folder cannot be synced: " + std::generic_category().message(code)};
}

/// A new file, made beside its place and then put there, so that a crash leaves none or a whole one.
void begin_file(const fs::path& path, const KeptStation& station) {
    std::error_code code;
    fs::path ahead = path;
    ahead += "-wal";
    if (fs::exists(ahead, code))
        throw Refused{"is missing, but its " + ahead.filename().string() +
                      " is there; put the file back, or move that one away to begin anew"};
    fs::path part = path;
    part += ".part";
    fs::remove(part, code);
    {
        const Base base = opened(part, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
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
    sync_folder_of(path);
}

void check_layout(std::int64_t application, std::int64_t version) {
    if (application != application_id) refuse(nullptr, SQLITE_NOTADB);
    if (version > layout_version)
        throw Refused{
            fmt::format("has layout {}, made by a newer Freshet; this one knows layout {} and leaves it "
                        "as it is",
                        version, layout_version)};
    if (version < 1) refuse(nullptr, SQLITE_CORRUPT);
}

/// Refuses by the file's first bytes, before SQLite, which may recover, convert or check in what it opens.
/// Where they stand: "Database File Format", section 1.3, in SQLite's documentation.
void check_header(const fs::path& path) {
    constexpr std::size_t header_length = 100, version_at = 60, application_at = 68;
    constexpr std::string_view magic{"SQLite format 3", 16};  // with its zero
    std::array<char, header_length> header{};
    std::ifstream(path, std::ios::binary).read(header.data(), header.size());
    const auto number = [&header](std::size_t at) {
        std::uint32_t value = 0;
        for (std::size_t i = 0; i < 4; ++i) value = value << 8 | static_cast<std::uint8_t>(header[at + i]);
        return std::int64_t{value};
    };
    if (std::string_view(header.data(), magic.size()) != magic) refuse(nullptr, SQLITE_NOTADB);
    check_layout(number(application_at), number(version_at));
}

void check_file(sqlite3* base) {
    // Once more: a log that was not yet taken into the file may say something newer.
    check_layout(ask(base, "PRAGMA application_id"), ask(base, "PRAGMA user_version"));
    Statement check(base, "PRAGMA integrity_check(1)");
    if (!check.step() || check.text(0) != "ok") refuse(base, SQLITE_CORRUPT);
}

void check_station(sqlite3* base, const KeptStation& station) {
    Statement found(base, "SELECT name, pumps FROM station");
    if (!found.step()) refuse(base, SQLITE_CORRUPT);
    if (found.text(0) == station.name && found.integer(1) == station.pump_count) return;
    throw Refused{
        fmt::format("belongs to the station '{}' with {} pumps; this one is '{}' with {}. Each station "
                    "needs a file of its own",
                    found.text(0), found.integer(1), station.name, station.pump_count)};
}

core::RecentTimes read_recent(sqlite3* base, std::int64_t pump) {
    Statement row(base, "SELECT at_ms FROM recent WHERE pump = ? ORDER BY at_ms DESC LIMIT 12");
    static_assert(core::hourly_max == 12, "the limit above");
    row.with(pump);
    core::RecentTimes times = core::HourlyCount{}.at_ms;
    for (std::size_t at = times.size(); at > 0 && row.step();) times[--at] = row.integer(0);
    return times;
}

template <std::size_t Count, class Words>
core::RetainedAlarms<Count> read_alarms(sqlite3* base, std::int64_t pump, const Words& words) {
    core::RetainedAlarms<Count> alarms;
    Statement row(base,
                  "SELECT name, latched, unacknowledged, out_of_service, shelved_until_ms FROM alarm "
                  "WHERE pump = ?");
    row.with(pump);
    while (row.step()) {
        const auto code = words::code_of(words, row.text(0));
        if (!code)
            throw Refused{fmt::format("names an alarm '{}' that this program does not know", row.text(0))};
        const auto index = static_cast<std::size_t>(*code);
        const std::uint32_t bit = 1U << index;
        if (row.integer(1) != 0) alarms.latched |= bit;
        if (row.integer(2) != 0) alarms.unacknowledged |= bit;
        if (row.integer(3) != 0) alarms.out_of_service |= bit;
        alarms.shelved_until_ms[index] = row.time(4);
    }
    return alarms;
}

std::optional<core::Retained> read_all(sqlite3* base, std::uint8_t pump_count, std::int64_t layout) {
    core::Retained kept;
    Statement station(
        base,
        "SELECT seen_ms, last_start_ms, last_line_start_ms, transfer_retry_after_ms, "
        "drive_retry_after_ms, transfer_attempts, drive_attempts, drive_locked_out FROM station");
    if (!station.step()) refuse(base, SQLITE_CORRUPT);
    kept.seen_ms = station.time(0);
    if (kept.seen_ms == core::never_ms) return std::nullopt;
    kept.last_start_ms = station.time(1);
    kept.last_line_start_ms = station.time(2);
    kept.transfer_retry_after_ms = station.time(3);
    kept.drive_retry_after_ms = station.time(4);
    kept.transfer_attempts = static_cast<std::uint8_t>(station.integer(5));
    kept.drive_attempts = static_cast<std::uint8_t>(station.integer(6));
    kept.drive_locked_out = station.integer(7) != 0;
    kept.recent_transfers_ms = read_recent(base, 0);
    kept.alarms = read_alarms<core::station_alarm_count>(base, 0, words::station_alarms);

    const std::string columns =
        "SELECT pump, run_ms, starts, line_starts, started_ms, released_ms, retry_after_ms, attempts, "
        "locked_out, succession_starts, succession_warm, ";
    Statement pump(base, (columns + fed_columns(layout) + " FROM pump ORDER BY pump").c_str());
    std::uint8_t pumps = 0;
    for (; pump.step(); ++pumps) {
        if (pumps >= pump_count || pump.integer(0) != pumps + 1) refuse(base, SQLITE_CORRUPT);
        core::RetainedPump& one = kept.pumps[pumps];
        one.run_ms = pump.integer(1);
        one.starts = static_cast<std::uint32_t>(pump.integer(2));
        one.line_starts = static_cast<std::uint32_t>(pump.integer(3));
        one.started_ms = pump.time(4);
        one.released_ms = pump.time(5);
        one.retry_after_ms = pump.time(6);
        one.attempts = static_cast<std::uint8_t>(pump.integer(7));
        one.locked_out = pump.integer(8) != 0;
        one.succession_starts = static_cast<std::uint8_t>(pump.integer(9));
        one.succession_warm = pump.integer(10) != 0;
        one.fed = pump.integer(11) != 0;
        one.fed_ms = pump.time(12);
        one.recent_starts_ms = read_recent(base, pumps + 1);
        one.alarms = read_alarms<core::pump_alarm_count>(base, pumps + 1, words::pump_alarms);
    }
    if (pumps != pump_count) refuse(base, SQLITE_CORRUPT);
    return kept;
}

void write_recent(sqlite3* base, std::int64_t pump, const core::RecentTimes& times) {
    Statement(base, "DELETE FROM recent WHERE pump = ?").with(pump).step();
    for (const std::int64_t at_ms : times)
        if (at_ms != core::never_ms)
            Statement(base, "INSERT INTO recent VALUES (?, ?)").with(pump).with(at_ms).step();
}

template <std::size_t Count, class Words>
void write_alarms(sqlite3* base, std::int64_t pump, const core::RetainedAlarms<Count>& alarms,
                  const Words& words) {
    Statement(base, "DELETE FROM alarm WHERE pump = ?").with(pump).step();
    for (std::size_t code = 0; code < Count; ++code) {
        const auto has = [code](std::uint32_t word) { return std::int64_t{word >> code & 1U}; };
        const std::int64_t shelved_until_ms = alarms.shelved_until_ms[code];
        const bool normal = has(alarms.latched | alarms.unacknowledged | alarms.out_of_service) == 0;
        if (normal && shelved_until_ms == core::never_ms) continue;
        Statement(base, "INSERT INTO alarm VALUES (?, ?, ?, ?, ?, ?)")
            .with(pump)
            .with(words[code].name)
            .with(has(alarms.latched))
            .with(has(alarms.unacknowledged))
            .with(has(alarms.out_of_service))
            .with_time(shelved_until_ms)
            .step();
    }
}

void write_pump(sqlite3* base, std::int64_t pump, const core::RetainedPump& one) {
    Statement(base, "INSERT OR REPLACE INTO pump VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)")
        .with(pump)
        .with(one.run_ms)
        .with(std::int64_t{one.starts})
        .with(std::int64_t{one.line_starts})
        .with_time(one.started_ms)
        .with_time(one.released_ms)
        .with_time(one.retry_after_ms)
        .with(std::int64_t{one.attempts})
        .with(std::int64_t{one.locked_out ? 1 : 0})
        .with(std::int64_t{one.succession_starts})
        .with(std::int64_t{one.succession_warm ? 1 : 0})
        .with(std::int64_t{one.fed ? 1 : 0})
        .with_time(one.fed_ms)
        .step();
}

void write_station(sqlite3* base, const core::Retained& now) {
    Statement(
        base,
        "UPDATE station SET seen_ms = ?, last_start_ms = ?, last_line_start_ms = ?, "
        "transfer_retry_after_ms = ?, drive_retry_after_ms = ?, transfer_attempts = ?, drive_attempts = ?, "
        "drive_locked_out = ?")
        .with_time(now.seen_ms)
        .with_time(now.last_start_ms)
        .with_time(now.last_line_start_ms)
        .with_time(now.transfer_retry_after_ms)
        .with_time(now.drive_retry_after_ms)
        .with(std::int64_t{now.transfer_attempts})
        .with(std::int64_t{now.drive_attempts})
        .with(std::int64_t{now.drive_locked_out ? 1 : 0})
        .step();
}

/// `was`: what the file holds; null: nothing yet.
void write_differences(sqlite3* base, const core::Retained& now, const core::Retained* was,
                       std::uint8_t pump_count) {
    write_station(base, now);
    if (was == nullptr || was->recent_transfers_ms != now.recent_transfers_ms)
        write_recent(base, 0, now.recent_transfers_ms);
    if (was == nullptr || was->alarms != now.alarms) write_alarms(base, 0, now.alarms, words::station_alarms);
    for (std::uint8_t pump = 0; pump < pump_count; ++pump) {
        const core::RetainedPump& one = now.pumps[pump];
        const core::RetainedPump* before = was != nullptr ? &was->pumps[pump] : nullptr;
        if (before != nullptr && *before == one) continue;
        write_pump(base, pump + 1, one);
        if (before == nullptr || before->recent_starts_ms != one.recent_starts_ms)
            write_recent(base, pump + 1, one.recent_starts_ms);
        if (before == nullptr || before->alarms != one.alarms)
            write_alarms(base, pump + 1, one.alarms, words::pump_alarms);
    }
}

}  // namespace

struct KeptFile::Connection {
    Base base;
};

KeptFile::KeptFile(fs::path path, std::unique_ptr<Connection> connection, KeptStation station)
    : path_(std::move(path)), connection_(std::move(connection)), station_(std::move(station)) {}
KeptFile::KeptFile(KeptFile&& other) noexcept = default;
KeptFile& KeptFile::operator=(KeptFile&& other) noexcept = default;
KeptFile::~KeptFile() = default;

tl::expected<KeptFile, StoreError> KeptFile::open(const fs::path& path, const KeptStation& station,
                                                  std::uint32_t pages_max) {
    try {
        std::error_code code;
        if (!fs::exists(path, code)) begin_file(path, station);
        if (!fs::is_regular_file(path, code)) throw Refused{"is no file; the path of a file was expected"};
        if (fs::file_size(path, code) == 0) throw Refused{"is empty; move it away to begin anew"};
        check_header(path);
        auto connection = std::make_unique<Connection>(Connection{opened(path, SQLITE_OPEN_READWRITE)});
        sqlite3* const base = connection->base.get();
        if (sqlite3_db_readonly(base, "main") == 1) throw Refused{"may not be written"};
        run(base,
            "PRAGMA locking_mode = EXCLUSIVE; PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON");
        // What is refused stays as it is, its log too.
        sqlite3_db_config(base, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, nullptr);
        check_file(base);
        check_station(base, station);
        const std::int64_t layout = ask(base, "PRAGMA user_version");
        const std::optional<core::Retained> found = read_all(base, station.pump_count, layout);
        sqlite3_db_config(base, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 0, nullptr);
        run(base, "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA wal_autocheckpoint = 100");
        // Takes the file for this program, and shows at once whether it can be written.
        run(base, "BEGIN IMMEDIATE");
        if (layout == 1) run(base, from_first_layout);
        run(base, "COMMIT");
        if (pages_max != 0) run(base, fmt::format("PRAGMA max_page_count = {}", pages_max).c_str());
        KeptFile file(path, std::move(connection), station);
        file.found_ = file.written_ = found;
        return file;
    } catch (const Refused& refused) {
        return tl::make_unexpected(StoreError{path.string() + ": " + refused.why});
    }
}

std::optional<KeptFailure> KeptFile::write(const core::Retained& now) {
    sqlite3* const base = connection_->base.get();
    try {
        run(base, "BEGIN IMMEDIATE");
        write_differences(base, now, written_ ? &*written_ : nullptr, station_.pump_count);
        run(base, "COMMIT");
        written_ = now;
        return std::nullopt;
    } catch (const Refused& refused) {
        sqlite3_exec(base, "ROLLBACK", nullptr, nullptr, nullptr);
        return KeptFailure{path_.string() + ": " + refused.why, refused.lasting};
    }
}

}  // namespace freshet::store
