// A journal back into events, for whoever explains or replays it.
// One reason to change: what a journal line says.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "controller/core/reasons.hpp"
#include "hal/store/store_error.hpp"

namespace freshet::record {

struct JournalEntry {
    std::int64_t time_ms = 0;
    core::Event event;
};

/// One line as append_journal_line writes it. The error says what is wrong, with the column where that is
/// known:
/// ":17: this is no JSON object".
tl::expected<JournalEntry, store::StoreError> parse_journal_line(std::string_view line);

/// The whole file, in order and without a gap in its numbers. Errors begin "file:line". A last line without
/// its line end is what a crash leaves of an unfinished write, and is passed over.
tl::expected<std::vector<JournalEntry>, store::StoreError> read_journal(const std::filesystem::path& path);

}  // namespace freshet::record
