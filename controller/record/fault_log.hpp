// The file faults.jsonl has one JSON object in a line. Each begin and each end of a fault of the simulated
// station has a line. Each order of an instructor has a line. Times are station time.
// One reason to change: the content of a line.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

#include "hal/store/appended_file.hpp"

namespace freshet::record {

/// A change of a fault, in words. The log writes an empty text and a missing amount as null.
struct FaultNews {
    std::int64_t time_ms = 0;      ///< station time
    std::string_view by;           ///< "scenario" or "instructor"
    std::string_view what;         ///< "set", "cleared" or "refused"
    std::string_view device = {};  ///< as a scenario names it
    std::string_view kind = {};
    std::optional<double> amount = {};  ///< in SI units, as an instructor writes the amount
    std::string_view order = {};        ///< an instructor's line
    std::string_view answer = {};       ///< the answer to the order
};

/// Returns one line without its line end. The order of the keys is seq, time, by, what, device, kind, amount,
/// order, answer.
std::string fault_line(std::uint32_t number, const FaultNews& news);

/// The first line creates the file. A run without faults leaves no file. Each line is one write(2), so that a
/// crash of the process loses nothing.
class FaultLog {
  public:
    explicit FaultLog(std::filesystem::path path) : path_(std::move(path)) {}

    void append(const FaultNews& news);
    void sync() noexcept {
        if (file_) file_->sync();
    }
    const std::optional<store::StoreError>& failure() const noexcept {
        return file_ ? file_->failure() : failure_;
    }

  private:
    std::filesystem::path path_;
    std::optional<store::AppendedFile> file_;
    std::optional<store::StoreError> failure_;  ///< set when the log could not create the file
    std::uint32_t written_ = 0;
};

}  // namespace freshet::record
