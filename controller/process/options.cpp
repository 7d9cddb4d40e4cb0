// Reads the command line of `freshet-controller`.
// One reason to change: see the header.
#include "controller/process/options.hpp"

#include <charconv>
#include <cstdio>
#include <sstream>

#include <fmt/format.h>
#include <CLI/CLI.hpp>
#include <tl/expected.hpp>

#include "hal/modbus/allow_list.hpp"
#include "hal/modbus/read_server.hpp"
#include "hal/service/command_line.hpp"
#include "hal/service/exit_code.hpp"

namespace freshet::controller_process {
namespace {

constexpr const char* about =
    "Supervisory controller for lead/lag pumping with one shared drive. It reads a station's measurements "
    "over Modbus and\n"
    "publishes advice. It never writes to the station.\n"
    "Example: freshet-controller --station station.toml --field-map map.toml --plant 127.0.0.1:1503";
constexpr const char* foot = "Exit codes: 0 good, 2 bad input, 3 failed.";

/// Parses a text such as "/dev/ttyUSB0,19200,E,1".
tl::expected<modbus::RtuEndpoint, std::string> parse_serial(const std::string& text) {
    const auto wrong = [&] {
        return tl::unexpected(fmt::format(
            "'{}' is not a serial line; expected DEVICE,BAUD,PARITY,STOP like /dev/ttyUSB0,19200,E,1", text));
    };
    std::istringstream in(text);
    modbus::RtuEndpoint line;
    std::string baud;
    std::string parity;
    std::string stop;
    if (!std::getline(in, line.device, ',') || !std::getline(in, baud, ',') ||
        !std::getline(in, parity, ',') || !std::getline(in, stop)) {
        return wrong();
    }
    const auto read = std::from_chars(baud.data(), baud.data() + baud.size(), line.baud);
    const bool known = read.ec == std::errc{} && read.ptr == baud.data() + baud.size() && line.baud > 0 &&
                       (parity == "N" || parity == "E" || parity == "O") && (stop == "1" || stop == "2");
    if (!known || line.device.empty()) return wrong();
    line.parity = parity.front();
    line.stop_bits = stop.front() - '0';
    return line;
}

int refuse(const std::string& why) {
    fmt::print(stderr, "freshet-controller: {}\n", why);
    return service::exit_bad_input;
}

}  // namespace

std::variant<Options, int> read_options(int argc, char** argv) {
    Options options;
    std::string field = "127.0.0.1:1503";
    std::string serial;
    std::string listen = "127.0.0.1:1502";
    std::int64_t response_ms = options.response.count();
    std::int64_t stall_ms = options.stall.count();

    CLI::App app(about, "freshet-controller");
    app.footer(foot);
    app.set_version_flag("--version", "freshet-controller " FRESHET_VERSION, "print the version and exit");
    app.add_option("--station", options.station_file, "station file (TOML)")->required();
    app.add_option("--field-map", options.field_map_file, "field map (TOML): the registers of the station")
        ->required();
    const auto* tcp =
        app.add_option("--plant", field, "HOST:PORT of the station's Modbus TCP device or gateway")
            ->capture_default_str();
    app.add_option("--serial", serial, "DEVICE,BAUD,PARITY,STOP of a Modbus RTU line, instead of --plant")
        ->excludes(const_cast<CLI::Option*>(tcp));
    app.add_option("--listen", listen,
                   "HOST:PORT of the advice server; the system chooses a free port for port 0")
        ->capture_default_str();
    app.add_option("--allow", options.allowed,
                   "ADDRESS or ADDRESS/PREFIX that may read advice, in addition to this machine")
        ->check(modbus::allow_refusal);
    app.add_option("--out", options.out_folder, "folder for the record of this run");
    app.add_option(
        "--keep", options.kept_file,
        "file that keeps hours, starts, lock-outs and shelved alarms over a restart; a missing file is "
        "created. Without this option the controller starts with the hours and starts of the station file");
    app.add_flag(
        "--attend", options.attended,
        "read orders from standard input: list, acknowledge all, acknowledge ALARM, shelve ALARM MINUTES, "
        "unshelve ALARM, out_of_service ALARM, in_service ALARM, and reset (after an emergency stop)");
    app.add_flag("--lockstep", options.lockstep,
                 "bench only, scan each instant of the plant's clock exactly once");
    app.add_option("--expiry-ms", options.expiry_ms, "station time after which unchanged advice becomes void")
        ->capture_default_str()
        ->check(CLI::Range(200, 60000));
    app.add_option("--response-ms", response_ms, "wall time that the station has to answer")
        ->capture_default_str()
        ->check(CLI::Range(20, 60000));
    app.add_option("--stall-ms", stall_ms, "wall time after which lockstep gives up on a silent plant")
        ->capture_default_str()
        ->check(CLI::Range(100, 3600000));
    if (const auto code = service::read_command_line(app, argc, argv)) return *code;
    options.response = std::chrono::milliseconds(response_ms);
    options.stall = std::chrono::milliseconds(stall_ms);

    const auto at = service::parse_host_port(listen);
    if (!at) return refuse("--listen: " + at.error());
    options.listen = *at;
    if (std::string why = modbus::listen_refusal(at->host); !why.empty()) return refuse("--listen: " + why);
    if (!serial.empty()) {
        const auto line = parse_serial(serial);
        if (!line) return refuse("--serial: " + line.error());
        options.field = *line;
        return options;
    }
    const auto device = service::parse_host_port(field);
    if (!device) return refuse("--plant: " + device.error());
    options.field = modbus::TcpEndpoint{device->host, std::to_string(device->port)};
    return options;
}

}  // namespace freshet::controller_process
