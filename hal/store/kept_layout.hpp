// The layout of the kept file: its tables, the creation of a new file, and the files that are refused.
// One reason to change: a column of the kept file, or a check before a file is opened.
#pragma once

#include <cstdint>
#include <filesystem>

#include "hal/store/kept_file.hpp"
#include "hal/store/sqlite_base.hpp"

namespace freshet::store {

/// Creates a file under a temporary name and then renames it, so that a crash leaves no file or a complete
/// file.
void begin_file(const std::filesystem::path& path, const KeptStation& station);

/// Refuses a file by its first bytes, before SQLite opens the file, because SQLite may change a file that it
/// opens.
void check_header(const std::filesystem::path& path);

/// Refuses a file of another kind, a file of a newer layout, and a damaged file.
void check_file(sqlite3* base);

/// Refuses the file of another station.
void check_station(sqlite3* base, const KeptStation& station);

/// The number of the layout that the file has.
std::int64_t layout_of(sqlite3* base);

/// Brings a file of an older layout to the present one, inside a transaction. The first layout does not have
/// the time until which a pump was fed. The first two layouts know neither the reset after an emergency stop
/// nor involuntary stops. The first three layouts do not know trips.
void upgrade(sqlite3* base);

}  // namespace freshet::store
