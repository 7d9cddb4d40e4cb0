// The style and the small script inside a report.
// One reason to change: the look of a report, or the read-out under its pointer.
#pragma once

namespace freshet::report {

extern const char* const report_style;
extern const char* const report_script;

}  // namespace freshet::report
