// A file as one string of bytes.
// One reason to change: how bytes leave the disk.
#pragma once

#include <filesystem>
#include <string>
#include <tl/expected.hpp>

#include "hal/store/store_error.hpp"

namespace freshet::store {

/// All bytes of a file. Error: "PATH: cannot read: REASON", also for a folder.
tl::expected<std::string, StoreError> read_file(const std::filesystem::path& path);

}  // namespace freshet::store
