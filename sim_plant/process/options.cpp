// Reads the command line of `freshet-plant`.
// One reason to change: see the header.
#include "sim_plant/process/options.hpp"

#include <charconv>
#include <cstdio>

#include <fmt/format.h>
#include <unistd.h>
#include <CLI/CLI.hpp>

#include "hal/modbus/allow_list.hpp"
#include "hal/modbus/read_server.hpp"
#include "hal/service/command_line.hpp"
#include "hal/service/exit_code.hpp"

namespace freshet::plant_process {
namespace {

constexpr const char* about =
    "Simulates the pumping station of a scenario. Serves the measurements over Modbus by a field map and\n"
    "follows the advice of a controller, because the station is a bench.\n"
    "Example: freshet-plant --scenario config/scenarios/design_storm.toml --lockstep --speed max";
constexpr const char* foot = "Simulated. Exit codes: 0 good, 2 bad input, 3 failed.";

/// The shortest duration is one scan. The longest duration is a leap year, because the longest
/// scenario lasts a leap year.
constexpr double duration_least_s = 0.02, duration_most_s = 366.0 * 24 * 3600;

int refuse(const std::string& why) {
    fmt::print(stderr, "freshet-plant: {}\n", why);
    return service::exit_bad_input;
}

}  // namespace

std::variant<Options, int> read_options(int argc, char** argv) {
    Options options;
    std::string speed = "1";
    std::string listen = "127.0.0.1:1503";
    std::string advice = "127.0.0.1:1502";
    std::int64_t response_ms = options.response.count();
    std::int64_t stall_ms = options.stall.count();
    bool quiet = false;

    CLI::App app(about, "freshet-plant");
    app.footer(foot);
    app.set_version_flag("--version", "freshet-plant " FRESHET_VERSION, "print the version and exit");
    app.add_option("--scenario", options.scenario_file, "scenario file (TOML)")->required();
    app.add_option("--field-map", options.field_map_file,
                   "field map (TOML); default: the field map of the scenario");
    app.add_option("--speed", speed, "seconds of station time in a second of wall time, above 0; or max")
        ->capture_default_str();
    app.add_flag("--lockstep", options.lockstep, "wait at each instant for the advice of this instant");
    app.add_option("--listen", listen,
                   "HOST:PORT of the measurement server; the system chooses a free port for port 0")
        ->capture_default_str();
    app.add_option("--allow", options.allowed,
                   "ADDRESS or ADDRESS/PREFIX that may read, in addition to this machine")
        ->check(modbus::allow_refusal);
    app.add_option("--advice", advice, "HOST:PORT of the controller's advice server")->capture_default_str();
    app.add_option("--duration-s", options.duration_s,
                   "station time to run, seconds; default: the length of the scenario")
        ->check(CLI::Range(duration_least_s, duration_most_s));
    app.add_option("--out", options.out_folder, "folder for the record of this run");
    app.add_flag("--instructor", options.instructor,
                 "read faults to set and clear from standard input: DEVICE KIND [AMOUNT] in SI units, "
                 "clear DEVICE, or list");
    app.add_flag("--live", options.live_line, "show a live line even when standard error is not a terminal");
    app.add_flag("--quiet", quiet, "no live line");
    app.add_option("--response-ms", response_ms, "wall time that the controller has to answer")
        ->capture_default_str()
        ->check(CLI::Range(20, 60000));
    app.add_option("--stall-ms", stall_ms, "wall time after which lockstep gives up on a silent controller")
        ->capture_default_str()
        ->check(CLI::Range(100, 3600000));
    if (const auto code = service::read_command_line(app, argc, argv)) return *code;
    options.response = std::chrono::milliseconds(response_ms);
    options.stall = std::chrono::milliseconds(stall_ms);
    options.live_line = (options.live_line || isatty(STDERR_FILENO) == 1) && !quiet;

    if (speed == "max") {
        options.speed = 0;
    } else {
        const char* const end = speed.data() + speed.size();
        const auto read = std::from_chars(speed.data(), end, options.speed);
        if (read.ec != std::errc{} || read.ptr != end || !(options.speed > 0)) {
            return refuse(
                fmt::format("--speed: '{}' is not a speed; expected a number above 0, or max", speed));
        }
    }
    const auto at = service::parse_host_port(listen);
    if (!at) return refuse("--listen: " + at.error());
    options.listen = *at;
    if (std::string why = modbus::listen_refusal(at->host); !why.empty()) return refuse("--listen: " + why);
    const auto controller = service::parse_host_port(advice);
    if (!controller) return refuse("--advice: " + controller.error());
    options.advice = *controller;
    return options;
}

}  // namespace freshet::plant_process
