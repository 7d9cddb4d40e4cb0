// Cuts CSV text into cells. Each cell keeps its place in the file.
// One reason to change: the notation of our tables.
#include "config/loader/csv.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace freshet::config {
namespace {

std::string_view trimmed(std::string_view text) {
    constexpr std::string_view blank = " \t\r";
    const auto first = text.find_first_not_of(blank);
    return first == std::string_view::npos ? std::string_view()
                                           : text.substr(first, text.find_last_not_of(blank) - first + 1);
}

CsvRow cells_of(std::string_view line, std::uint32_t number) {
    CsvRow row{number, {}};
    for (std::size_t begin = 0;;) {
        const auto comma = std::min(line.find(',', begin), line.size());
        row.cells.push_back(
            {trimmed(line.substr(begin, comma - begin)), static_cast<std::uint32_t>(begin + 1)});
        if (comma == line.size()) return row;
        begin = comma + 1;
    }
}

}  // namespace

tl::expected<CsvTable, Errors> read_csv(std::string_view text, const std::string& file) {
    // Spreadsheets begin a file in UTF-8 with this mark.
    constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
    if (text.starts_with(byte_order_mark)) text.remove_prefix(byte_order_mark.size());
    CsvTable table;
    Errors errors;
    std::uint32_t number = 0;
    std::size_t uneven = 0;  ///< rows
    for (std::size_t begin = 0; begin < text.size();) {
        const auto end = std::min(text.find('\n', begin), text.size());
        const std::string_view line = text.substr(begin, end - begin);
        begin = end + 1;
        ++number;
        if (trimmed(line).empty() || line.front() == '#') continue;
        CsvRow row = cells_of(line, number);
        if (table.heading.cells.empty()) {
            table.heading = std::move(row);
        } else if (row.cells.size() != table.heading.cells.size()) {
            // Every row may have the same mistake. The first row reports it, and the count follows.
            if (++uneven > 1) continue;
            const bool parted = row.cells.size() > table.heading.cells.size();
            errors.push_back({file, number, 1,
                              fmt::format("the row has {} cells; expected {}, as in the heading{}",
                                          row.cells.size(), table.heading.cells.size(),
                                          parted ? "; write decimals with a point, not with a comma" : "")});
        } else {
            table.rows.push_back(std::move(row));
        }
    }
    if (uneven > 1) errors.front().message += fmt::format(" (in {} rows)", uneven);
    if (table.heading.cells.empty())
        errors.push_back({file, 1, 1, "the file is empty; expected a heading line and rows of numbers"});
    else if (table.rows.empty() && errors.empty())
        errors.push_back(
            {file, table.heading.line, 1, "the file has only a heading; expected rows of numbers"});
    if (!errors.empty()) return tl::unexpected(errors);
    return table;
}

}  // namespace freshet::config
