// Counts every allocation of a test program that links this file, so that a test can show that a scan makes
// none.
// One reason to change: a way to allocate.
#pragma once

#include <cstdint>

namespace freshet::laws {

/// Calls of operator new so far. The count is valid for one thread only.
std::uint64_t allocations_so_far();

}  // namespace freshet::laws
