// The file that outlives a controller: the data of core::Retained, in SQLite, either complete or missing.
// One reason to change: how the file keeps retentive data.
//
// One connection locks the file (locking_mode EXCLUSIVE), uses a write-ahead log (WAL) and waits for the disk
// at every commit (synchronous FULL). Data survive a kill and a loss of power when their write has returned.
// A new file is made under a temporary name and then renamed, so an empty or cut file is always damaged.
// Alarms are kept by name, so that a new alarm does not move the others.
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

/// The owner of the data. A file of another station is refused.
struct KeptStation {
    std::string name;
    std::uint8_t pump_count = 0;
};

/// A failed write. After a lasting failure (the disk lost data that it had confirmed, or the file is damaged)
/// nothing more is written, because the file can no longer be trusted. A full disk may have room again later.
struct KeptFailure {
    std::string message;
    bool lasting = false;
};

class KeptFile {
  public:
    /// Opens the file of the station, or creates a missing file. Refuses a file of another kind, a damaged
    /// file, a newer layout, the file of another station, a file that another program has open, and a
    /// read-only file. The error names the fault and the remedy. `pages_max`: largest size in pages of
    /// 4096 bytes; 0: the disk is the only limit.
    static tl::expected<KeptFile, StoreError> open(const std::filesystem::path& path,
                                                   const KeptStation& station, std::uint32_t pages_max = 0);

    KeptFile(KeptFile&& other) noexcept;
    KeptFile& operator=(KeptFile&& other) noexcept;
    ~KeptFile();

    /// The data in the file when it was opened; empty for a new file.
    const std::optional<core::Retained>& found() const noexcept { return found_; }

    /// The data in the file now; empty before the first write to a new file.
    const std::optional<core::Retained>& written() const noexcept { return written_; }

    /// Writes the differences from the last write, in one transaction.
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
