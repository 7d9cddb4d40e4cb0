// What can go wrong between a record and the disk.
// One reason to change: what a caller must be told about a failed write.
#pragma once

#include <string>

namespace freshet::store {

/// A failed file operation, in words fit for a terminal: "out/journal.jsonl: cannot write: No space left on
/// device".
struct StoreError {
    std::string message;
};

}  // namespace freshet::store
