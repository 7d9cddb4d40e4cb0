// Writes trend.csv by RFC 4180. The first column is an RFC 3339 time in UTC with milliseconds. Each heading
// names the unit. A missing value is an empty field. One reason to change: the form of a trend.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <tl/expected.hpp>

#include "controller/record/trend_row.hpp"
#include "hal/store/appended_file.hpp"

namespace freshet::record {

class TrendWriter {
  public:
    static tl::expected<TrendWriter, store::StoreError> create(const std::filesystem::path& path,
                                                               std::uint8_t pump_count);

    void append(const TrendRow& row) noexcept;

    /// From now on the writer writes several hundred rows at a time. A kill of the process then loses the
    /// last rows. Use this only for a run that the user can repeat from its files. A process that serves a
    /// station writes each row at once.
    void write_in_batches() noexcept { batch_bytes_ = 1U << 16U; }

    /// Writes the rows that are left. Waits for the disk.
    void sync() noexcept;
    const std::optional<store::StoreError>& failure() const noexcept { return file_.failure(); }

  private:
    TrendWriter(store::AppendedFile file, std::uint8_t pump_count)
        : file_(std::move(file)), pump_count_(pump_count) {}

    store::AppendedFile file_;
    std::uint8_t pump_count_;
    std::string rows_;             ///< rows that the writer has not written yet
    std::size_t batch_bytes_ = 0;  ///< the writer writes when `rows_` has so many bytes

    void write_rows() noexcept;
};

}  // namespace freshet::record
