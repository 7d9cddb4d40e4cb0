// trend.csv after RFC 4180: first column RFC 3339 UTC with milliseconds, the unit in each heading, empty
// where missing. One reason to change: how a trend is written.
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

    /// From now on rows are written some hundred at a time. For a run that its files can repeat: a kill then
    /// loses the last rows. A process that serves a station writes each row at once.
    void write_in_batches() noexcept { batch_bytes_ = 1U << 16U; }

    /// Writes what is left, and waits for the disk.
    void sync() noexcept;
    const std::optional<store::StoreError>& failure() const noexcept { return file_.failure(); }

  private:
    TrendWriter(store::AppendedFile file, std::uint8_t pump_count)
        : file_(std::move(file)), pump_count_(pump_count) {}

    store::AppendedFile file_;
    std::uint8_t pump_count_;
    std::string rows_;             ///< not yet written
    std::size_t batch_bytes_ = 0;  ///< rows are written when there are as many bytes of them

    void write_rows() noexcept;
};

}  // namespace freshet::record
