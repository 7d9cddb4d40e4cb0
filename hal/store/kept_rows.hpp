// core::Retained as rows of the kept file.
// One reason to change: something that a controller keeps over a restart.
#pragma once

#include <cstdint>
#include <optional>

#include "controller/core/retained.hpp"
#include "hal/store/sqlite_base.hpp"

namespace freshet::store {

/// All that the file holds; nothing where no controller has written to it yet. `layout`: the layout that the
/// file has.
std::optional<core::Retained> read_all(sqlite3* base, std::uint8_t pump_count, std::int64_t layout);

/// Writes the rows of `now` that differ from `was`, which the file holds; null: the file holds nothing yet.
void write_differences(sqlite3* base, const core::Retained& now, const core::Retained* was,
                       std::uint8_t pump_count);

}  // namespace freshet::store
