// A file that is replaced completely or not at all.
// One reason to change: how bytes reach the disk.
#include "hal/store/appended_file.hpp"

#include <gtest/gtest.h>

#include <filesystem>

#include "tests/doubles/scratch_folder.hpp"

namespace freshet::store {
namespace {

using doubles::bytes_of;
using doubles::ScratchFolder;

TEST(ReplaceFile, that_fails_leaves_the_old_file_as_it_was) {
    const ScratchFolder folder;
    ASSERT_FALSE(replace_file(folder / "summary.json", "old").has_value());
    std::filesystem::create_directory(folder / "summary.json.part");
    EXPECT_TRUE(replace_file(folder / "summary.json", "new").has_value());
    EXPECT_EQ(bytes_of(folder / "summary.json"), "old");
}

}  // namespace
}  // namespace freshet::store
