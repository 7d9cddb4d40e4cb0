// Opens the file for this program only and writes in transactions. Inside hal/store an error is the exception
// Refused. This file turns the exception into a result.
#include "hal/store/kept_file.hpp"

#include <fmt/format.h>
#include <sqlite3.h>

#include <system_error>
#include <utility>

#include "hal/store/kept_layout.hpp"
#include "hal/store/kept_rows.hpp"
#include "hal/store/sqlite_base.hpp"

namespace freshet::store {
namespace {

namespace fs = std::filesystem;

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
        if (!fs::is_regular_file(path, code)) throw Refused{"is not a file; expected the path of a file"};
        if (fs::file_size(path, code) == 0)
            throw Refused{"is empty; move the file away to start with a new file"};
        check_header(path);
        auto connection = std::make_unique<Connection>(Connection{open_base(path)});
        sqlite3* const base = connection->base.get();
        if (sqlite3_db_readonly(base, "main") == 1)
            throw Refused{"is read-only; give this program the right to write the file"};
        run(base,
            "PRAGMA locking_mode = EXCLUSIVE; PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON");
        // A refused file and its log stay unchanged.
        sqlite3_db_config(base, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, nullptr);
        check_file(base);
        check_station(base, station);
        const std::int64_t layout = layout_of(base);
        const std::optional<core::Retained> found = read_all(base, station.pump_count, layout);
        sqlite3_db_config(base, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 0, nullptr);
        run(base, "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA wal_autocheckpoint = 100");
        // Locks the file for this program, and shows at once whether the file can be written.
        run(base, "BEGIN IMMEDIATE");
        upgrade(base);
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
