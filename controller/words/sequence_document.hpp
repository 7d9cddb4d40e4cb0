// The sequence tables as documents, after IEC 60848 (GRAFCET): numbered steps, what is advised in each, and
// transitions with their conditions. Generated from the table that the sequencer runs by, so they cannot
// drift apart. One reason to change: how a sequence is shown to an inspector.
#pragma once

#include <string>

namespace freshet::words {

/// A section per sequence with a table of its steps, in Markdown.
std::string sequences_markdown();

/// One Graphviz digraph with a chart per sequence.
std::string sequences_dot();

}  // namespace freshet::words
