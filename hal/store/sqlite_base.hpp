// The parts of SQLite that the kept file needs: an open file, prepared statements, and errors as exceptions.
// One reason to change: how SQLite is called, or how its errors are worded.
//
// Only the files of hal/store throw and catch Refused. KeptFile turns the exception into a result.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>

struct sqlite3;
struct sqlite3_stmt;

namespace freshet::store {

/// Why a file is not read or not written. After a lasting failure nothing more is written.
struct Refused {
    std::string why;
    bool lasting = false;
};

/// Throws Refused by SQLite's result code. `base` may be null when no file is open yet.
[[noreturn]] void refuse(sqlite3* base, int code);
[[noreturn]] void refuse_other_format();  ///< the file is not a kept file
[[noreturn]] void refuse_damaged();

/// A prepared statement, bound from left to right. Every member but the destructor may throw Refused.
class Statement {
  public:
    Statement(sqlite3* base, const char* text);
    ~Statement();
    Statement(const Statement&) = delete;
    Statement& operator=(const Statement&) = delete;

    Statement& with(std::int64_t value);
    Statement& with(std::string_view text);
    Statement& with_time(std::int64_t time_ms);  ///< core::never_ms becomes NULL

    /// True while there is a row.
    bool step();

    /// Columns count from zero.
    std::int64_t integer(int column) const;
    std::int64_t time(int column) const;  ///< NULL becomes core::never_ms
    std::string text(int column) const;

  private:
    sqlite3* base_;
    sqlite3_stmt* statement_ = nullptr;
    int bound_ = 0;
};

struct CloseBase {
    void operator()(sqlite3* base) const noexcept;
};
using Base = std::unique_ptr<sqlite3, CloseBase>;

/// Opens an existing file to read and write.
Base open_base(const std::filesystem::path& path);
/// Creates a file.
Base create_base(const std::filesystem::path& path);

/// Runs statements without parameters and without answers.
void run(sqlite3* base, const char* text);

/// The first column of the first row; 0 without a row.
std::int64_t ask(sqlite3* base, const char* text);

}  // namespace freshet::store
