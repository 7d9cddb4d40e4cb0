// The alarms as a document: meaning, delays, priority and response of each alarm. The document is generated
// from the tables that the controller uses, so document and controller cannot differ.
// One reason to change: how the alarms are shown to an inspector or an operator.
#pragma once

#include <string>

namespace freshet::words {

/// A table for the station's alarms and one for a pump's, in Markdown.
std::string alarms_markdown();

/// A row for each alarm, RFC 4180, with a heading; times in seconds.
std::string alarms_csv();

}  // namespace freshet::words
