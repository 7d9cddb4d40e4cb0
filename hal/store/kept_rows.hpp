// core::Retained as rows of the kept file.
// One reason to change: data that a controller keeps over a restart.
#pragma once

#include <cstdint>
#include <optional>

#include "controller/core/retained.hpp"
#include "hal/store/sqlite_base.hpp"

namespace freshet::store {

/// All data in the file; empty when no controller has written to the file yet. `layout`: the layout of the
/// file.
std::optional<core::Retained> read_all(sqlite3* base, std::uint8_t pump_count, std::int64_t layout);

/// Writes the rows of `now` that differ from `was`, the data in the file; null: the file has no data yet.
void write_differences(sqlite3* base, const core::Retained& now, const core::Retained* was,
                       std::uint8_t pump_count);

}  // namespace freshet::store
