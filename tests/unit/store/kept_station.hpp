// The station whose kept file is tested, and its file opened.
// One reason to change: what tests of the kept file begin with.
#pragma once

#include <cstdint>
#include <filesystem>
#include <stdexcept>
#include <utility>

#include "hal/store/kept_file.hpp"

namespace freshet::store::testing {

inline const KeptStation invented{"Invented station", 4};

/// The file of that station, opened or begun; a refusal fails the test in its own words.
inline KeptFile opened(const std::filesystem::path& path, const KeptStation& station = invented,
                       std::uint32_t pages_max = 0) {
    auto file = KeptFile::open(path, station, pages_max);
    if (!file) throw std::runtime_error(file.error().message);
    return std::move(*file);
}

}  // namespace freshet::store::testing
