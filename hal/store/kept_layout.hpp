// The layout of the kept file: its tables, how a new file comes into being, and which files are refused.
// One reason to change: a column of the kept file, or a check before one is opened.
#pragma once

#include <cstdint>
#include <filesystem>

#include "hal/store/kept_file.hpp"
#include "hal/store/sqlite_base.hpp"

namespace freshet::store {

/// A new file, made beside its place and then put there, so that a crash leaves none or a whole one.
void begin_file(const std::filesystem::path& path, const KeptStation& station);

/// Refuses by the file's first bytes, before SQLite, which may recover, convert or check in what it opens.
void check_header(const std::filesystem::path& path);

/// Refuses a file of another kind or of a newer layout, and a damaged one.
void check_file(sqlite3* base);

/// Refuses the file of another station.
void check_station(sqlite3* base, const KeptStation& station);

/// The number of the layout that the file has.
std::int64_t layout_of(sqlite3* base);

/// Brings a file of the first layout to the present one, inside a transaction. The first layout did not say
/// until when a pump was fed.
void upgrade(sqlite3* base);

}  // namespace freshet::store
