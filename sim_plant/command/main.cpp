// `freshet`: the bench's command line. Finds the subcommand and passes the arguments on.
// One reason to change: the list of subcommands.
#include <algorithm>
#include <array>
#include <cstdio>
#include <exception>
#include <string>
#include <string_view>

#include "config/loader/nearest.hpp"
#include "controller/words/cautions.hpp"
#include "sim_plant/command/commands.hpp"

namespace {

using freshet::command::exit_bad_input;
using freshet::command::exit_failure;
using freshet::command::exit_good;

struct Subcommand {
    std::string_view name, does;
    int (*run)(int argc, char** argv);
};

constexpr std::array subcommands{
    Subcommand{"check", "engineering check of a station", freshet::command::check_command},
    Subcommand{"run", "a scenario in one process, as fast as possible", freshet::command::run_command},
    Subcommand{"closing", "the effect on a motor of a closing at a given angle, slip and voltage difference",
               freshet::command::closing_command},
    Subcommand{"explain", "what the controller saw, which rule decided, and what the controller waited for",
               freshet::command::explain_command},
    Subcommand{"registers", "the advice map, or a site's field map", freshet::command::registers_command},
    Subcommand{"sequences", "the sequence tables as a document", freshet::command::sequences_command},
    Subcommand{"alarms", "every alarm with its cause, consequence and response",
               freshet::command::alarms_command},
};

constexpr std::string_view head =
    "freshet: bench for lead/lag pumping with one shared drive. Simulated and advisory only.\n"
    "\n"
    "Usage: freshet SUBCOMMAND [arguments]      freshet SUBCOMMAND --help\n"
    "\n";

constexpr std::string_view foot =
    "\n"
    "Example: freshet run config/scenarios/design_storm.toml --out record\n"
    "freshet --version prints the version.\n"
    "\n"
    "Exit code: 0 good, 1 a finding, 2 bad input, 3 failed.\n"
    "\n"
    "Freshet is a reference and a trainer, not a protection or safety function.\n";

void print_help(std::FILE* to) {
    std::fwrite(head.data(), 1, head.size(), to);
    for (const Subcommand& subcommand : subcommands)
        std::fprintf(to, "  %-12.*s%.*s\n", static_cast<int>(subcommand.name.size()), subcommand.name.data(),
                     static_cast<int>(subcommand.does.size()), subcommand.does.data());
    std::fwrite(foot.data(), 1, foot.size(), to);
    std::fprintf(to, "%s\n", std::string(freshet::words::caution_line).c_str());
}

int no_subcommand(std::string_view asked) {
    std::array<std::string_view, subcommands.size()> names{};
    std::ranges::transform(subcommands, names.begin(), &Subcommand::name);
    const std::string_view near = freshet::config::nearest(asked, names);
    const std::string hint = near.empty() ? "" : "; nearest known subcommand \"" + std::string(near) + "\"";
    std::fprintf(stderr, "freshet: there is no subcommand \"%s\"%s; `freshet --help` lists the subcommands\n",
                 std::string(asked).c_str(), hint.c_str());
    return exit_bad_input;
}

/// The exit code of the subcommand. Failure when standard output could not be written, because the reader
/// then has no answer.
int if_written(int code) {
    if (std::fflush(stdout) == 0 && std::ferror(stdout) == 0) return code;
    std::fputs("freshet: standard output cannot be written\n", stderr);
    return exit_failure;
}

}  // namespace

int main(int argc, char** argv) {
    try {
        if (argc < 2) {
            print_help(stderr);
            return exit_bad_input;
        }
        const std::string_view asked{argv[1]};
        if (asked == "--help" || asked == "-h" || asked == "help") {
            print_help(stdout);
            return if_written(exit_good);
        }
        if (asked == "--version") {
            std::puts("freshet " FRESHET_VERSION);
            return if_written(exit_good);
        }
        for (const Subcommand& subcommand : subcommands)
            if (subcommand.name == asked) return if_written(subcommand.run(argc - 1, argv + 1));
        return no_subcommand(asked);
    } catch (const std::exception& error) {
        std::fprintf(stderr, "freshet: %s\n", error.what());
        return exit_failure;
    }
}
