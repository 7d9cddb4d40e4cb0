// A file that only grows, with one write(2) for each batch. A crash of the process therefore loses no
// appended batch. One reason to change: how bytes reach the disk.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <tl/expected.hpp>

#include "hal/store/store_error.hpp"

namespace freshet::store {

class AppendedFile {
  public:
    /// Creates the file, or empties it.
    static tl::expected<AppendedFile, StoreError> create(const std::filesystem::path& path);

    AppendedFile(AppendedFile&& other) noexcept;
    AppendedFile& operator=(AppendedFile&& other) noexcept;
    AppendedFile(const AppendedFile&) = delete;
    AppendedFile& operator=(const AppendedFile&) = delete;
    ~AppendedFile();

    /// After the first failure nothing more is written, because a record with a gap would look complete.
    void append(std::string_view bytes) noexcept;

    /// Waits until the disk has the appended bytes. A failure counts like a failed append.
    void sync() noexcept;

    const std::optional<StoreError>& failure() const noexcept { return failure_; }

  private:
    AppendedFile(int descriptor, std::string name) : descriptor_(descriptor), name_(std::move(name)) {}
    void fail(const char* what, int code) noexcept;

    int descriptor_ = -1;
    std::string name_;
    std::optional<StoreError> failure_;
};

/// Waits until the disk has the names of the files in `folder`.
std::optional<StoreError> sync_folder(const std::filesystem::path& folder);

/// Writes `bytes` as `path`, completely or not at all: temporary file, fsync, rename, fsync of the folder.
std::optional<StoreError> replace_file(const std::filesystem::path& path, std::string_view bytes);

}  // namespace freshet::store
