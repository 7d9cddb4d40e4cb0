// A table of numbers in a CSV file: comments, one heading line, numbers.
// One reason to change: the notation of our tables.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include <tl/expected.hpp>

#include "config/loader/errors.hpp"

namespace freshet::config {

struct CsvCell {
    std::string_view text;  ///< trimmed; points into the text that was read
    std::uint32_t column = 0;
};

struct CsvRow {
    std::uint32_t line = 0;
    std::vector<CsvCell> cells;
};

struct CsvTable {
    CsvRow heading;
    std::vector<CsvRow> rows;  ///< each as wide as the heading
};

/// Reads comma-separated text (RFC 4180 without quotes; lines that begin with # are comments). `text` must
/// outlive the table. Errors: no heading, no rows, a row with more or fewer cells than the heading.
tl::expected<CsvTable, Errors> read_csv(std::string_view text, const std::string& file);

}  // namespace freshet::config
