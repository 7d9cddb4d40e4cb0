// Reads a journal back into events, so that a program can explain or replay the journal.
// One reason to change: the content of a journal line.
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

/// Reads one line as append_journal_line writes a line. The error names the mistake. The column comes before
/// the mistake if the column is known, for example ":17: this is not a JSON object".
tl::expected<JournalEntry, store::StoreError> parse_journal_line(std::string_view line);

struct Journal {
    std::vector<JournalEntry> entries;
    bool cut_off = false;  ///< a crash cut the last line off; the journal leaves that line out
};

/// Reads the whole file. The lines must be in order, without a gap in their numbers. Errors begin with
/// "file:line".
tl::expected<Journal, store::StoreError> read_journal(const std::filesystem::path& path);

}  // namespace freshet::record
