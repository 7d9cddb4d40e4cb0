// `freshet run`: a scenario in one process, with its record and its figures.
// One reason to change: the arguments of this command, or its output.
#include <CLI/CLI.hpp>

#include <unistd.h>
#include <atomic>
#include <cmath>
#include <csignal>
#include <cstdio>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "controller/record/run_record.hpp"
#include "controller/record/summary_json.hpp"
#include "controller/report/report.hpp"
#include "hal/service/command_line.hpp"
#include "sim_plant/bench/bench.hpp"
#include "sim_plant/bench/case_files.hpp"
#include "sim_plant/command/commands.hpp"
#include "sim_plant/studies/comparison.hpp"

namespace freshet::command {
namespace {

constexpr const char* help_foot =
    "Example: freshet run config/scenarios/design_storm.toml --out record\n"
    "\n"
    "DIR then has journal.jsonl, trend.csv, summary.json and report.html, and after faults also "
    "faults.jsonl.\n"
    "Simulated; advisory only.\n"
    "Exit code: 0 good, 2 bad input, 3 failed.";

// A signal handler can use a global flag only.
std::atomic<bool> stopped{false};  // NOLINT(cppcoreguidelines-avoid-non-const-global-variables)
static_assert(std::atomic<bool>::is_always_lock_free);

extern "C" void stop_on_signal(int) {
    stopped.store(true, std::memory_order_relaxed);
}

void print_figures(const record::RunSummary& summary, config::Duty duty) {
    std::printf("%s at %s (simulated, advisory only)\n", summary.scenario.c_str(), summary.station.c_str());
    std::printf("  simulated %.0f s in %.3f s (%.0f times real time)\n", summary.simulated_s, summary.wall_s,
                summary.wall_s > 0 ? summary.simulated_s / summary.wall_s : 0);
    std::printf("  %s %.3f to %.3f m, overflow %.3f m3\n",
                duty == config::Duty::hold_pressure ? "header head" : "level", summary.level_min_m,
                summary.level_max_m, summary.overflow_m3);
    std::printf("  inflow %.1f m3, pumped %.1f m3, volume error %.3g m3\n", summary.inflow_m3,
                summary.pumped_m3, summary.volume_error_m3);
    std::printf("  energy %.1f kWh", summary.energy_kwh);
    if (summary.pumped_m3 > 0) std::printf(", %.4f kWh/m3", summary.energy_kwh / summary.pumped_m3);
    if (std::isfinite(summary.energy_cost))
        std::printf(", cost %.2f in the tariff's money", summary.energy_cost);
    std::printf("\n");
    std::printf("  hand-overs %u, take-backs %u, line starts %u\n", summary.hand_overs, summary.take_backs,
                summary.line_starts);
    std::printf("  most in an hour: transfers completed %u, starts of a pump %u\n",
                summary.transfers_per_hour_max, summary.starts_per_hour_max);
    for (std::size_t pump = 0; pump < summary.pump_count; ++pump)
        std::printf("  pump %zu: starts %u, run %.2f h\n", pump + 1, summary.starts_per_pump[pump],
                    summary.run_h_per_pump[pump]);
    if (std::isfinite(summary.wear_run_h_spread))
        std::printf("  wear of the available pumps: hour meters differ by %.1f h, starts by %.0f\n",
                    summary.wear_run_h_spread, summary.wear_starts_spread);
    const auto total_s = [&](double record::PumpWater::*figure) {
        double seconds = 0;
        for (std::size_t pump = 0; pump < summary.pump_count; ++pump)
            seconds += summary.water_per_pump[pump].*figure;
        return seconds;
    };
    std::printf(
        "  pump-seconds below minimum flow %.0f, backflow %.0f, NPSH short %.0f; dry suction %.0f s, vortex "
        "%.0f s; surge head after a trip of all pumps %.0f m\n",
        total_s(&record::PumpWater::below_minimum_flow_s), total_s(&record::PumpWater::backflow_s),
        total_s(&record::PumpWater::npsh_short_s), summary.suction_dry_s, summary.vortex_s,
        summary.surge_head_max_m);
    std::printf("  longest overlap %.0f ms, widest closing angle %.2f deg, alarms %u\n",
                summary.overlap_ms_max, summary.closing_angle_deg_max, summary.alarms);
}

/// Runs with these settings. Records into `folder` unless `folder` is empty. Empty when the record failed,
/// after the message has been printed.
std::optional<record::RunSummary> run_recorded(const bench::CaseFiles& inputs, const core::Settings& settings,
                                               const std::string& folder, bench::RunOptions options) {
    const auto complain = [](const std::string& message) {
        std::fprintf(stderr, "freshet run: %s\n", message.c_str());
        return std::nullopt;
    };
    std::optional<record::RunRecord> record;
    if (!folder.empty()) {
        auto opened = record::RunRecord::open(
            folder,
            {inputs.scenario.name, inputs.scenario.title, inputs.station.station.name, true, settings},
            report::report_html);
        if (!opened) return complain(opened.error().message);
        record = std::move(*opened);
        record->write_trend_in_batches();
    }
    options.record = record ? &*record : nullptr;
    record::RunSummary summary =
        bench::run(inputs.station.station, settings, inputs.scenario, inputs.plan, options);
    if (record) {
        if (const auto failure = record->close(summary)) return complain(failure->message);
    }
    return summary;
}

std::vector<std::string> names_left_out() {
    std::vector<std::string> names;
    for (const studies::LeftOut& one : studies::known_left_out()) names.emplace_back(one.name);
    return names;
}

}  // namespace

/// From one second to a leap year, which is the longest scenario.
constexpr double hours_least = 1.0 / 3600, hours_most = 366 * 24;

int run_command(int argc, char** argv) {
    std::string scenario_path, folder, compare_with;
    double hours = 0;
    bool json = false, quiet = false;
    CLI::App app{"Runs a scenario in one process: controller and simulated station, as fast as possible."};
    app.name("freshet run");
    app.footer(help_foot);
    app.add_option("SCENARIO", scenario_path, "scenario file (TOML)")->required();
    app.add_option("--out", folder, "folder for the record; without this option nothing is recorded")
        ->type_name("DIR");
    app.add_option("--hours", hours, "hours of station time to run; default: the length of the scenario")
        ->check(CLI::Range(hours_least, hours_most));
    app.add_option("--compare-with", compare_with,
                   "run again without this function and compare the figures; the second record goes to a "
                   "folder of this name in DIR")
        ->check(CLI::IsMember(names_left_out()));
    app.add_flag("--json", json, "print the summary as JSON");
    app.add_flag("--quiet", quiet, "no progress on the terminal");
    if (const auto code = service::read_command_line(app, argc, argv)) return *code;

    const auto inputs = bench::load_case(scenario_path);
    if (!inputs) {
        std::fputs(inputs.error().c_str(), stderr);
        return exit_bad_input;
    }

    struct sigaction action {};
    action.sa_handler = stop_on_signal;
    action.sa_flags = static_cast<int>(SA_RESETHAND);  // a second signal ends the process at once
    sigaction(SIGINT, &action, nullptr);
    sigaction(SIGTERM, &action, nullptr);

    bench::RunOptions options;
    constexpr double s_per_h = 3600;
    options.duration_s = hours * s_per_h;
    options.stop = &stopped;
    const bool shows_progress = !quiet && isatty(STDERR_FILENO) == 1;
    if (shows_progress)
        options.progress = [](double done) { std::fprintf(stderr, "\r%3.0f %%", 100 * done); };
    const std::optional<record::RunSummary> summary =
        run_recorded(*inputs, inputs->station.settings, folder, options);
    if (!summary) return exit_failure;
    std::optional<record::RunSummary> compared;
    if (const studies::LeftOut* left_out = studies::find_left_out(compare_with); left_out != nullptr) {
        core::Settings settings = inputs->station.settings;
        left_out->leave_out(settings);
        const std::string compared_folder = folder.empty() ? folder : folder + "/" + compare_with;
        compared = run_recorded(*inputs, settings, compared_folder, options);
        if (!compared) return exit_failure;
    }
    if (shows_progress) std::fputs("\r     \r", stderr);

    if (json && compared) {
        std::printf("{\"as_described\": %s, \"%s\": %s}\n", record::summary_json(*summary).c_str(),
                    compare_with.c_str(), record::summary_json(*compared).c_str());
    } else if (json) {
        std::fputs(record::summary_json(*summary).c_str(), stdout);
    } else {
        print_figures(*summary, inputs->station.station.duty);
        const config::Station& station = inputs->station.station;
        std::optional<double> crest_m;
        if (station.duty == config::Duty::empty_well) crest_m = station.well.overflow_level_m;
        if (compared)
            std::fputs(studies::side_by_side(*summary, *compared, compare_with, crest_m).c_str(), stdout);
        if (!folder.empty()) std::printf("  record in %s\n", folder.c_str());
    }
    return exit_good;
}

}  // namespace freshet::command
