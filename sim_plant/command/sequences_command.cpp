// `freshet sequences`: the sequence tables as a document.
// One reason to change: the formats that this command prints.
#include <CLI/CLI.hpp>
#include <cstdio>
#include <string>

#include "controller/words/precedence_document.hpp"
#include "controller/words/sequence_document.hpp"
#include "controller/words/witness_document.hpp"
#include "hal/service/command_line.hpp"
#include "sim_plant/command/commands.hpp"

namespace freshet::command {

int sequences_command(int argc, char** argv) {
    CLI::App app{
        "Prints the sequences of the controller, in the manner of IEC 60848.\n"
        "Example: freshet sequences --dot | dot -Tsvg > sequences.svg",
        "freshet sequences"};
    bool markdown = false, dot = false, precedence = false, witnesses = false;
    auto* as_markdown = app.add_flag("--markdown", markdown, "tables in Markdown (this is the default)");
    auto* as_chart = app.add_flag("--dot", dot, "a chart for Graphviz")->excludes(as_markdown);
    auto* as_precedence =
        app.add_flag("--precedence", precedence, "what comes first: the order of precedence, in Markdown")
            ->excludes(as_markdown)
            ->excludes(as_chart);
    app.add_flag("--witnesses", witnesses,
                 "who is believed: the vote of floats, transmitters and volume balance, in Markdown")
        ->excludes(as_markdown)
        ->excludes(as_chart)
        ->excludes(as_precedence);
    app.footer("Exit code: 0 good, 2 bad input, 3 failed.");
    if (const auto code = service::read_command_line(app, argc, argv)) return *code;
    const std::string document = precedence  ? words::precedence_markdown()
                                 : witnesses ? words::witnesses_markdown()
                                 : dot       ? words::sequences_dot()
                                             : words::sequences_markdown();
    std::fputs(document.c_str(), stdout);
    return exit_good;
}

}  // namespace freshet::command
