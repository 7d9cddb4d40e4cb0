// `freshet alarms`: every alarm with its cause, consequence and response.
// One reason to change: the formats that this command prints.
#include <CLI/CLI.hpp>
#include <cstdio>

#include "controller/words/alarm_document.hpp"
#include "hal/service/command_line.hpp"
#include "sim_plant/command/commands.hpp"

namespace freshet::command {

int alarms_command(int argc, char** argv) {
    CLI::App app{
        "Prints every alarm: likely cause, consequence, response, priority, delays, deadband, latching, "
        "group.\n"
        "Example: freshet alarms --csv > alarms.csv",
        "freshet alarms"};
    bool markdown = false, csv = false;
    auto* as_markdown = app.add_flag("--markdown", markdown, "tables in Markdown (this is the default)");
    app.add_flag("--csv", csv, "a row for each alarm")->excludes(as_markdown);
    app.footer("Exit code: 0 good, 2 bad input, 3 failed.");
    if (const auto code = service::read_command_line(app, argc, argv)) return *code;
    std::fputs((csv ? words::alarms_csv() : words::alarms_markdown()).c_str(), stdout);
    return exit_good;
}

}  // namespace freshet::command
