// The style and the small script inside a report.
// One reason to change: how a report looks, or what its pointer read-out does.
#pragma once

namespace freshet::report {

extern const char* const report_style;
extern const char* const report_script;

}  // namespace freshet::report
