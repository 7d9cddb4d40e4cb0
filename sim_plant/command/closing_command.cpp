// `freshet closing`: the effect on a motor of a closing at a given angle, slip and voltage difference:
// arguments, answer and files. Returns 0 within the limit, 1 beyond it, 2 on bad input, 3 when a file cannot
// be written.
// One reason to change: the arguments of this command, or its output.
#include <fmt/format.h>
#include <CLI/CLI.hpp>
#include <cstdio>
#include <fstream>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "config/loader/load.hpp"
#include "controller/words/cautions.hpp"
#include "hal/service/command_line.hpp"
#include "sim_plant/command/commands.hpp"
#include "sim_plant/physics/nameplate.hpp"
#include "sim_plant/studies/closing_plot.hpp"
#include "sim_plant/studies/closing_study.hpp"

namespace freshet::command {
namespace {

using Json = nlohmann::ordered_json;

constexpr double per_cent = 100, ms_per_s = 1000;

constexpr const char* closing_foot =
    "Examples:\n"
    "  freshet closing --motor config/stations/demo.toml --angle 12\n"
    "  freshet closing --motor config/stations/demo.toml --angle 0 --gap-ms 150 --json\n"
    "  freshet closing --motor config/stations/demo.toml --angle 180 --sweep --plot closing.svg\n"
    "\n"
    "FILE has a [motor] table, alone or in a station file. Before the closing, the motor's source leads the "
    "line\n"
    "by the angle. Without a gap the change-over is instant. With a gap the motor coasts before the "
    "closing.\n"
    "Exit code: 0 within 1.33 per-unit volts per hertz, 1 beyond this limit, 2 bad input, 3 failed.";

struct ClosingArguments {
    std::string motor, plot;
    double angle_deg = 0, slip_hz = 0, volts_percent = 0, load_percent = 100, gap_ms = 0;
    bool json = false, sweep = false;
};

/// The arguments, or the exit code with which the command ends at once.
tl::expected<ClosingArguments, int> read_arguments(int argc, char** argv) {
    ClosingArguments asked;
    CLI::App app{
        "Calculates the effect on a motor of a closing at a given angle, slip and voltage difference."};
    app.name("freshet closing");
    app.footer(closing_foot);
    app.add_option("--motor", asked.motor, "motor or station file (TOML)")->required()->type_name("FILE");
    auto* angle = app.add_option("--angle", asked.angle_deg,
                                 "angle by which the motor's source leads the line, degrees")
                      ->check(CLI::Range(-360.0, 360.0))
                      ->type_name("DEG");
    app.add_option("--slip-hz", asked.slip_hz,
                   "frequency of the motor's source minus that of the line, Hz; default 0")
        ->check(CLI::Range(-5.0, 5.0))
        ->type_name("X");
    app.add_option("--volts-diff", asked.volts_percent,
                   "voltage of the motor's source minus that of the line, percent of rated; default 0")
        ->check(CLI::Range(-50.0, 50.0))
        ->type_name("PCT");
    app.add_option("--load", asked.load_percent,
                   "load torque, rising with the square of the speed, percent of rated; default 100")
        ->check(CLI::Range(0.0, 150.0))
        ->type_name("PCT");
    app.add_option("--gap-ms", asked.gap_ms,
                   "time without a source before the closing, ms; default 0 (instant change-over)")
        ->check(CLI::Range(0.0, 60000.0))
        ->type_name("T");
    app.add_flag("--json", asked.json, "print the answer as JSON");
    app.add_option("--plot", asked.plot,
                   "draw current and torque into this SVG file; with --sweep also the peaks")
        ->type_name("FILE.svg");
    auto* sweep_flag = app.add_flag("--sweep", asked.sweep, "also calculate the peaks from 0 to 180 degrees");
    if (const auto code = service::read_command_line(app, argc, argv)) return tl::unexpected(*code);
    if (angle->count() == 0 && sweep_flag->count() == 0) {
        std::fputs(
            "freshet closing: --angle DEG or --sweep is missing; `freshet closing --help` lists the "
            "options\n",
            stderr);
        return tl::unexpected<int>(exit_bad_input);
    }

    return asked;
}

/// The motor of a file. Otherwise the exit code, after the message has been printed.
tl::expected<config::Motor, int> load_motor(const std::string& path) {
    auto loaded = config::load_motor(path);
    if (!loaded) {
        std::fputs(config::text_of(loaded.error()).c_str(), stderr);
        return tl::unexpected<int>(exit_bad_input);
    }
    return std::move(*loaded);
}

/// The angle of the sync check. Empty when the file describes a motor only.
std::optional<double> sync_angle_max_deg(const std::string& path) {
    const auto station = config::load_station_file(path);
    if (!station) return std::nullopt;
    return station->settings.sync.angle_max_deg;
}

void put_figures(Json& json, const plant::ClosingResult& r) {
    json["steady_current_peak_a"] = r.steady_current_peak_a;
    json["steady_torque_nm"] = r.steady_torque_nm;
    json["peak_current_a"] = r.peak_current_a;
    json["peak_current_ratio"] = r.peak_current_ratio;
    json["torque_max_nm"] = r.torque_max_nm;
    json["torque_min_nm"] = r.torque_min_nm;
    json["resultant_v_per_hz_pu"] = r.resultant_v_per_hz_pu;
}

void print_closing_json(const studies::ClosingStudy& study) {
    const plant::ClosingCase& closing = study.closing;
    const plant::ClosingResult& r = study.result;
    Json json;
    json["motor"] = study.motor.name;
    json["angle_deg"] = closing.angle_deg;
    json["slip_hz"] = closing.slip_hz;
    json["volts_diff_percent"] = per_cent * closing.volts_difference_ratio;
    json["load_percent"] = per_cent * closing.load_ratio;
    json["gap_ms"] = ms_per_s * closing.gap_s;
    put_figures(json, r);
    json["rated_torque_nm"] = r.rated_torque_nm;
    json["limit_v_per_hz_pu"] = plant::resultant_limit_pu;
    json["terminal_v"] = r.terminal_v;
    json["terminal_hz"] = r.terminal_hz;
    json["terminal_angle_deg"] = r.terminal_angle_deg;
    json["circuit_estimated"] = study.estimate.has_value();
    if (study.estimate) json["estimate_worst_error_percent"] = per_cent * study.estimate->worst_error;
    for (const studies::SweepPoint& point : study.sweep) {
        Json one{{"angle_deg", point.angle_deg}};
        put_figures(one, point.result);
        json["sweep"].push_back(one);
    }
    json["verdict"] = studies::verdict_of(r);
    json["caution"] = words::caution_line;
    std::fputs((json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n").c_str(), stdout);
}

void print_closing_text(const studies::ClosingStudy& study) {
    const plant::ClosingCase& closing = study.closing;
    const plant::ClosingResult& r = study.result;
    std::string out =
        fmt::format("{}: closing at {:g} deg, slip {:g} Hz, voltage difference {:g} %, load {:g} %",
                    study.motor.name, closing.angle_deg, closing.slip_hz,
                    per_cent * closing.volts_difference_ratio, per_cent * closing.load_ratio);
    out += closing.gap_s > 0 ? fmt::format(", after {:g} ms open\n", ms_per_s * closing.gap_s)
                             : ", instant change-over\n";
    if (closing.gap_s > 0)
        out += fmt::format(
            "  at the closing the terminals show  {:8.0f} V, {:.2f} Hz, {:.1f} deg ahead of the line\n",
            r.terminal_v, r.terminal_hz, r.terminal_angle_deg);
    out += fmt::format("  before: current, peak              {:8.1f} A\n", r.steady_current_peak_a);
    out += fmt::format("  before: torque                     {:8.0f} N m\n", r.steady_torque_nm);
    out += fmt::format("  worst peak phase current           {:8.1f} A      {:.2f} times the peak before\n",
                       r.peak_current_a, r.peak_current_ratio);
    out += fmt::format("  highest torque                     {:8.0f} N m    {:.2f} times rated\n",
                       r.torque_max_nm, r.torque_max_nm / r.rated_torque_nm);
    out += fmt::format("  lowest torque                      {:8.0f} N m    {:.2f} times rated\n",
                       r.torque_min_nm, r.torque_min_nm / r.rated_torque_nm);
    out += fmt::format("  resultant volts per hertz          {:8.3f} per unit (limit {:g})\n",
                       r.resultant_v_per_hz_pu, plant::resultant_limit_pu);
    if (!study.sweep.empty()) {
        out +=
            "\n  angle, deg   peak current, times   highest torque, times   lowest torque, times   "
            "resultant, pu\n";
        for (const studies::SweepPoint& point : study.sweep)
            out += fmt::format("  {:10.0f}   {:19.2f}   {:21.2f}   {:20.2f}   {:13.3f}\n", point.angle_deg,
                               point.result.peak_current_ratio,
                               point.result.torque_max_nm / point.result.rated_torque_nm,
                               point.result.torque_min_nm / point.result.rated_torque_nm,
                               point.result.resultant_v_per_hz_pu);
    }
    if (study.estimate) {
        out += "\n  The circuit is estimated from the nameplate:\n";
        for (const plant::PlateCheck& check : study.estimate->checks)
            out += fmt::format("    {:30} plate {:12.5g}   circuit {:12.5g}   error {:+.2f} %{}\n",
                               check.figure, check.plate, check.circuit, per_cent * check.error(),
                               check.assumed ? " (not on the plate: typical)" : "");
    }
    out += fmt::format(
        "\n  {}.\n  The limit is that of ANSI/NEMA C50.41 for reconnecting a motor. Within the limit torque "
        "and current may "
        "still be many\n  times rated. A sync check's limits lie far below.\n  {}\n",
        studies::verdict_of(r), words::caution_line);
    std::fputs(out.c_str(), stdout);
}

}  // namespace

int closing_command(int argc, char** argv) {
    const auto asked = read_arguments(argc, argv);
    if (!asked) return asked.error();
    const auto motor = load_motor(asked->motor);
    if (!motor) return motor.error();
    plant::ClosingCase closing;
    closing.angle_deg = asked->angle_deg;
    closing.slip_hz = asked->slip_hz;
    closing.volts_difference_ratio = asked->volts_percent / per_cent;
    closing.load_ratio = asked->load_percent / per_cent;
    closing.gap_s = asked->gap_ms / ms_per_s;
    studies::ClosingStudy study = studies::study_closing(*motor, closing, asked->sweep);
    if (!asked->plot.empty()) {
        study.sync_angle_max_deg = sync_angle_max_deg(asked->motor);
        std::ofstream file(asked->plot);
        file << studies::closing_svg(study);
        if (!file.flush()) {
            std::fprintf(stderr, "freshet closing: %s cannot be written\n", asked->plot.c_str());
            return exit_failure;
        }
    }
    (asked->json ? print_closing_json : print_closing_text)(study);
    return study.result.within_limit() ? exit_good : exit_finding;
}

}  // namespace freshet::command
