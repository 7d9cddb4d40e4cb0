// The file that outlives a controller: what core::Retained holds, in SQLite, whole or not at all.
// One reason to change: how retentive data stand on the disk.
//
// One connection holds the file for itself (locking_mode EXCLUSIVE), writes ahead (WAL) and waits for the
// disk at every commit (synchronous FULL): what a write has returned from survives a kill and a loss of
// power. A file comes into being whole (made beside its place, then renamed), so an empty or cut one is
// damage, never a beginning. Alarms stand by name, so that a new alarm does not move the old ones.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <tl/expected.hpp>

#include "controller/core/retained.hpp"
#include "hal/store/store_error.hpp"

namespace freshet::store {

/// Whose data they are. A file of another station is refused.
struct KeptStation {
    std::string name;
    std::uint8_t pump_count = 0;
};

/// A write that failed. After a lasting failure (the disk broke its word, or the file is damaged) nothing
/// more is written: the file must not be trusted any further. A disk that is full may have room again.
struct KeptFailure {
    std::string message;
    bool lasting = false;
};

class KeptFile {
  public:
    /// Opens the file of that station, or begins one where there is none. Refused with what is wrong and what
    /// to do: a file that is no kept file, damaged, of a newer layout, of another station, held by another
    /// program or not writable. `pages_max`: the size it may reach, in pages of 4096 bytes; 0: no limit but
    /// the disk's.
    static tl::expected<KeptFile, StoreError> open(const std::filesystem::path& path,
                                                   const KeptStation& station, std::uint32_t pages_max = 0);

    KeptFile(KeptFile&& other) noexcept;
    KeptFile& operator=(KeptFile&& other) noexcept;
    ~KeptFile();

    /// What the file held when it was opened; nothing in one that was just begun.
    const std::optional<core::Retained>& found() const noexcept { return found_; }

    /// What it holds now; nothing before the first write to one that was just begun.
    const std::optional<core::Retained>& written() const noexcept { return written_; }

    /// Writes what differs from the last write, in one transaction.
    std::optional<KeptFailure> write(const core::Retained& now);

    const std::filesystem::path& path() const noexcept { return path_; }

  private:
    struct Connection;
    KeptFile(std::filesystem::path path, std::unique_ptr<Connection> connection, KeptStation station);

    std::filesystem::path path_;
    std::unique_ptr<Connection> connection_;
    KeptStation station_;
    std::optional<core::Retained> found_, written_;
};

}  // namespace freshet::store
