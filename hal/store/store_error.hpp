// A failed file operation of a record or a kept file.
// One reason to change: the information about a failed write that a caller needs.
#pragma once

#include <string>

namespace freshet::store {

/// A failed file operation, in words fit for a terminal: "out/journal.jsonl: cannot write: No space left on
/// device".
struct StoreError {
    std::string message;
};

}  // namespace freshet::store
