// `freshet-controller`: wires the core to a station. Advisory only: there is no write call on the field side.
// One reason to change: which parts the process is made of.
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <exception>
#include <memory>
#include <optional>
#include <utility>

#include <fmt/format.h>
#include <spdlog/sinks/stdout_color_sinks.h>
#include <spdlog/spdlog.h>

#include "config/loader/load.hpp"
#include "controller/process/loops.hpp"
#include "controller/process/options.hpp"
#include "controller/process/scanner.hpp"
#include "controller/report/report.hpp"
#include "hal/service/exit_code.hpp"
#include "hal/service/notice.hpp"
#include "hal/service/stop_signal.hpp"
#include "hal/store/keeper.hpp"

namespace {

using namespace freshet;
using controller_process::Options;
using controller_process::Scanner;

/// While a follower waits for the next advice its request is answered late, but not later than this.
constexpr std::chrono::milliseconds hold{200};

struct Files {
    config::StationFile station;
    modbus::FieldPlan plan;
};

std::optional<Files> load(const Options& options) {
    auto station = config::load_station_file(options.station_file);
    if (!station) fmt::print(stderr, "{}", config::text_of(station.error()));
    auto map = station ? config::load_field_map_for(*station, options.field_map_file)
                       : config::load_field_map(options.field_map_file);
    if (!map) fmt::print(stderr, "{}", config::text_of(map.error()));
    if (!station || !map) return std::nullopt;
    auto plan = modbus::compile(*map);
    if (!plan) {
        for (const std::string& error : plan.error()) fmt::print(stderr, "{}\n", error);
        return std::nullopt;
    }
    return Files{std::move(*station), std::move(*plan)};
}

modbus::Served served(modbus::AdviceBoard& board) {
    return {[&board](const modbus::Request& request, std::span<std::uint16_t> out) {
                return board.read(request, out);
            },
            [&board](const modbus::Request& request) { return board.version(request); },
            {"Freshet project", "freshet-controller", FRESHET_VERSION, "", "Freshet advice server",
             "advisory only; reads only"}};
}

int run(const Options& options) {
    auto files = load(options);
    if (!files) return service::exit_bad_input;
    const core::Settings& settings = files->station.settings;
    const std::string& station_name = files->station.station.name;

    std::optional<store::KeptFile> kept;
    if (!options.kept_file.empty()) {
        auto opened = store::KeptFile::open(options.kept_file, {station_name, settings.pump_count});
        if (!opened) {
            fmt::print(stderr, "freshet-controller: {}\n", opened.error().message);
            return service::exit_bad_input;
        }
        kept.emplace(std::move(*opened));
    }

    std::optional<record::RunRecord> record;
    if (!options.out_folder.empty()) {
        auto opened = record::RunRecord::open(
            options.out_folder,
            {"", "Advice of freshet-controller", station_name, files->plan.clock_block.has_value(), settings},
            report::report_html);
        if (!opened) {
            fmt::print(stderr, "freshet-controller: {}\n", opened.error().message);
            return service::exit_failure;
        }
        record.emplace(std::move(*opened));
    }

    service::StopSignal stop;
    const modbus::AdviceEncoder encoder(settings.pump_count, settings.scan_ms, options.expiry_ms);
    modbus::AdviceBoard board(encoder.image());
    modbus::ServerOptions server_options;
    server_options.address = options.listen.host;
    server_options.port = options.listen.port;
    server_options.allowed = options.allowed;
    server_options.hold = hold;
    auto server = modbus::ReadServer::start(server_options, served(board));
    if (!server) {
        fmt::print(stderr, "freshet-controller: {}\n", server.error());
        return service::exit_failure;
    }
    fmt::print("{}", service::listening_line("advice", {options.listen.host, (*server)->port()}));
    std::fflush(stdout);

    const auto begun = std::chrono::steady_clock::now();
    const std::optional<core::Retained> left = kept ? kept->found() : std::nullopt;
    std::optional<store::Keeper> keeper;
    if (kept) keeper.emplace(std::move(*kept));
    std::optional<controller_process::AlarmOrders> orders;
    if (options.attended) orders.emplace(STDIN_FILENO, settings.pump_count);
    service::Notice notice(service::Notice::request_from_environment());
    Scanner scanner(
        settings, left ? &*left : nullptr, files->plan, encoder, board, **server,
        {record ? &*record : nullptr, keeper ? &*keeper : nullptr, orders ? &*orders : nullptr, &notice});
    const modbus::ClientOptions client{.response = options.response};
    int code = 0;
    if (options.lockstep) {
        code = run_in_lockstep(files->plan, options.field, client, options.stall, scanner, stop);
    } else if (files->plan.clock_block) {
        code = run_on_bench(files->plan, options.field, client, scanner, stop);
    } else {
        code = run_at_site(files->plan, options.field, client, scanner, stop);
    }
    notice.stopping();
    // Withdrawn: who reads from here on finds no advice, and what was read before is void after its expiry.
    board.publish(encoder.image());
    if (keeper) {
        if (const auto failure = keeper->close()) {
            spdlog::error("kept file: {}", failure->message);
            code = service::exit_failure;
        }
    }
    if (!record) return code;
    record::RunSummary summary = scanner.summary();
    summary.station = station_name;
    summary.wall_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();
    if (const auto failure = record->close(summary)) {
        spdlog::error("record: {}", failure->message);
        return service::exit_failure;
    }
    spdlog::info("record: {}", record->folder().string());
    return code;
}

}  // namespace

int main(int argc, char** argv) {
    try {
        // Standard output is for programs; what people read goes to standard error.
        spdlog::set_default_logger(spdlog::stderr_color_mt("freshet-controller"));
        const auto options = controller_process::read_options(argc, argv);
        if (const int* code = std::get_if<int>(&options)) return *code;
        return run(std::get<Options>(options));
    } catch (const std::exception& error) {
        fmt::print(stderr, "freshet-controller: {}\n", error.what());
        return service::exit_failure;
    }
}
