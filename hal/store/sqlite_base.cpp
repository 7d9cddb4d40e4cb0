// Each member calls SQLite and checks the result.
#include "hal/store/sqlite_base.hpp"

#include <sqlite3.h>

#include "controller/core/advice.hpp"

namespace freshet::store {

namespace {

Base opened(const std::filesystem::path& path, int flags) {
    sqlite3* raw = nullptr;
    const int code = sqlite3_open_v2(path.c_str(), &raw, flags | SQLITE_OPEN_NOMUTEX, nullptr);
    Base base(raw);
    if (code != SQLITE_OK) refuse(raw, code);
    sqlite3_extended_result_codes(raw, 1);
    return base;
}

}  // namespace

void refuse(sqlite3* base, int code) {
    switch (code & 0xFF) {
        case SQLITE_NOTADB:
            throw Refused{
                "is not a kept file; name another file, or move this file away to start with a new file",
                true};
        case SQLITE_CORRUPT:
            throw Refused{
                "is damaged; put a copy in its place, or move the file away to start with a new file", true};
        case SQLITE_BUSY:
        case SQLITE_LOCKED:
            throw Refused{"is in use by another program; each controller needs a file of its own"};
        case SQLITE_FULL:
            throw Refused{"cannot be written: the disk is full"};
        default:
            // The disk lost data that it had confirmed, or another program moved or took the file.
            throw Refused{std::string(base != nullptr ? sqlite3_errmsg(base) : sqlite3_errstr(code)),
                          (code & 0xFF) == SQLITE_IOERR || (code & 0xFF) == SQLITE_READONLY};
    }
}

void refuse_other_format() {
    refuse(nullptr, SQLITE_NOTADB);
}

void refuse_damaged() {
    refuse(nullptr, SQLITE_CORRUPT);
}

Statement::Statement(sqlite3* base, const char* text) : base_(base) {
    const int code = sqlite3_prepare_v2(base, text, -1, &statement_, nullptr);
    if (code != SQLITE_OK) refuse(base, code);
}

Statement::~Statement() {
    sqlite3_finalize(statement_);
}

Statement& Statement::with(std::int64_t value) {
    sqlite3_bind_int64(statement_, ++bound_, value);
    return *this;
}

Statement& Statement::with(std::string_view text) {
    sqlite3_bind_text(statement_, ++bound_, text.data(), static_cast<int>(text.size()), SQLITE_TRANSIENT);
    return *this;
}

Statement& Statement::with_time(std::int64_t time_ms) {
    if (time_ms != core::never_ms) return with(time_ms);
    sqlite3_bind_null(statement_, ++bound_);
    return *this;
}

bool Statement::step() {
    const int code = sqlite3_step(statement_);
    if (code == SQLITE_ROW) return true;
    if (code != SQLITE_DONE) refuse(base_, code);
    return false;
}

std::int64_t Statement::integer(int column) const {
    return sqlite3_column_int64(statement_, column);
}

std::int64_t Statement::time(int column) const {
    return sqlite3_column_type(statement_, column) == SQLITE_NULL ? core::never_ms : integer(column);
}

std::string Statement::text(int column) const {
    const auto* bytes = reinterpret_cast<const char*>(sqlite3_column_text(statement_, column));
    return bytes != nullptr ? std::string(bytes) : std::string();
}

void CloseBase::operator()(sqlite3* base) const noexcept {
    sqlite3_close_v2(base);
}

Base open_base(const std::filesystem::path& path) {
    return opened(path, SQLITE_OPEN_READWRITE);
}

Base create_base(const std::filesystem::path& path) {
    return opened(path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
}

void run(sqlite3* base, const char* text) {
    const int code = sqlite3_exec(base, text, nullptr, nullptr, nullptr);
    if (code != SQLITE_OK) refuse(base, code);
}

std::int64_t ask(sqlite3* base, const char* text) {
    Statement statement(base, text);
    return statement.step() ? statement.integer(0) : 0;
}

}  // namespace freshet::store
