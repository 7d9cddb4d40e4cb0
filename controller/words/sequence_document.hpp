// The sequence tables as documents, after IEC 60848 (GRAFCET): numbered steps, the advice of each step, and
// transitions with their conditions. The documents are generated from the sequencer's own table, so that
// document and sequencer cannot differ. One reason to change: how a sequence is shown to an inspector.
#pragma once

#include <string>

namespace freshet::words {

/// A section per sequence with a table of its steps, in Markdown.
std::string sequences_markdown();

/// One Graphviz digraph with a chart per sequence.
std::string sequences_dot();

}  // namespace freshet::words
