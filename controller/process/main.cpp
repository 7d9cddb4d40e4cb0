// `freshet-controller`: connects the core to a station. Advisory only: the field side has no write call.
// One reason to change: the parts of the process.
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
#include <tl/expected.hpp>

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

/// The server holds a follower's request until the next advice, but no longer than this time.
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
             "advisory only, read only"}};
}

int complain(const std::string& what, int code) {
    fmt::print(stderr, "freshet-controller: {}\n", what);
    return code;
}

/// Returns an empty value when the command line names no file.
tl::expected<std::optional<store::KeptFile>, store::StoreError> open_kept_file(
    const Options& options, const store::KeptStation& station) {
    if (options.kept_file.empty()) return std::nullopt;
    return store::KeptFile::open(options.kept_file, station);
}

/// Returns an empty value when the command line names no folder.
tl::expected<std::optional<record::RunRecord>, store::StoreError> open_record(const Options& options,
                                                                              const Files& files) {
    if (options.out_folder.empty()) return std::nullopt;
    const bool simulated = files.plan.clock_block.has_value();
    return record::RunRecord::open(
        options.out_folder,
        {"", "Advice of freshet-controller", files.station.station.name, simulated, files.station.settings},
        report::report_html);
}

modbus::ServerOptions server_options(const Options& options) {
    modbus::ServerOptions server;
    server.address = options.listen.host;
    server.port = options.listen.port;
    server.allowed = options.allowed;
    server.hold = hold;
    return server;
}

/// Scans until the station, a person or a signal ends the run. Returns the exit code.
int scan(const Options& options, const modbus::FieldPlan& plan, Scanner& scanner, service::StopSignal& stop) {
    const modbus::ClientOptions client{.response = options.response};
    if (options.lockstep) return run_in_lockstep(plan, options.field, client, options.stall, scanner, stop);
    if (plan.clock_block) return run_on_bench(plan, options.field, client, scanner, stop);
    return run_at_site(plan, options.field, client, scanner, stop);
}

/// Returns `code`, or failure when the keeper could not write the whole file.
int close_kept_file(store::Keeper& keeper, int code) {
    const auto failure = keeper.close();
    if (!failure) return code;
    spdlog::error("kept file: {}", failure->message);
    return service::exit_failure;
}

int close_record(record::RunRecord& record, const record::RunSummary& summary, int code) {
    if (const auto failure = record.close(summary)) {
        spdlog::error("record: {}", failure->message);
        return service::exit_failure;
    }
    spdlog::info("record: {}", record.folder().string());
    return code;
}

int run(const Options& options) {
    auto files = load(options);
    if (!files) return service::exit_bad_input;
    const core::Settings& settings = files->station.settings;
    const std::string& station_name = files->station.station.name;
    auto kept = open_kept_file(options, {station_name, settings.pump_count});
    if (!kept) return complain(kept.error().message, service::exit_bad_input);
    auto record = open_record(options, *files);
    if (!record) return complain(record.error().message, service::exit_failure);

    service::StopSignal stop;
    const modbus::AdviceEncoder encoder(settings.pump_count, settings.scan_ms, options.expiry_ms);
    modbus::AdviceBoard board(encoder.image());
    auto server = modbus::ReadServer::start(server_options(options), served(board));
    if (!server) return complain(server.error(), service::exit_failure);
    fmt::print("{}", service::listening_line("advice", {options.listen.host, (*server)->port()}));
    std::fflush(stdout);

    const auto begun = std::chrono::steady_clock::now();
    const std::optional<core::Retained> left = *kept ? (*kept)->found() : std::nullopt;
    std::optional<store::Keeper> keeper;
    if (*kept) keeper.emplace(std::move(**kept));
    std::optional<controller_process::AlarmOrders> orders;
    if (options.attended) orders.emplace(STDIN_FILENO, settings.pump_count);
    service::Notice notice(service::Notice::request_from_environment());
    Scanner scanner(
        settings, left ? &*left : nullptr, files->plan, encoder, board, **server,
        {*record ? &**record : nullptr, keeper ? &*keeper : nullptr, orders ? &*orders : nullptr, &notice});
    int code = scan(options, files->plan, scanner, stop);
    notice.stopping();
    // Withdraws the advice. Advice that a follower read before becomes void after its expiry.
    board.publish(encoder.image());
    if (keeper) code = close_kept_file(*keeper, code);
    if (!*record) return code;
    record::RunSummary summary = scanner.summary();
    summary.station = station_name;
    summary.wall_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();
    return close_record(**record, summary, code);
}

}  // namespace

int main(int argc, char** argv) {
    try {
        // Programs read standard output. Text for people goes to standard error.
        spdlog::set_default_logger(spdlog::stderr_color_mt("freshet-controller"));
        const auto options = controller_process::read_options(argc, argv);
        if (const int* code = std::get_if<int>(&options)) return *code;
        return run(std::get<Options>(options));
    } catch (const std::exception& error) {
        fmt::print(stderr, "freshet-controller: {}\n", error.what());
        return service::exit_failure;
    }
}
