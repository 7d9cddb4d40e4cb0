// `freshet closing`: what a closing at a given angle, slip and voltage difference does to a motor: arguments,
// answer and files. Returns 0 within the limit, 1 beyond it, 2 on bad input, 3 when a file cannot be written.
// One reason to change: the arguments of this command, or what it prints.
#include <fmt/format.h>
#include <CLI/CLI.hpp>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <numbers>
#include <string_view>

#include "config/loader/load.hpp"
#include "hal/service/command_line.hpp"
#include "sim_plant/command/commands.hpp"
#include "sim_plant/physics/nameplate.hpp"
#include "sim_plant/studies/closing_plot.hpp"
#include "sim_plant/studies/closing_study.hpp"

namespace freshet::command {
namespace {

constexpr double sweep_step_deg = 5;

constexpr const char* foot =
    "Examples:\n"
    "  freshet closing --motor config/stations/demo.toml --angle 12\n"
    "  freshet closing --motor config/stations/demo.toml --angle 0 --gap-ms 150 --json\n"
    "  freshet closing --motor config/stations/demo.toml --angle 180 --sweep --plot closing.svg\n"
    "\n"
    "FILE holds a [motor] table, alone or in a station file. The angle is by how much the source that feeds "
    "the motor leads\n"
    "the line. Without a gap the change-over is instant; with one the motor coasts before it meets the "
    "line.\n"
    "Exit code: 0 within 1.33 per-unit volts per hertz, 1 beyond it, 2 bad input, 3 failed.\n"
    "A model's answer, not a permission: follow local codes, the equipment's own instructions and a licensed "
    "engineer.";

struct Arguments {
    std::string motor, plot;
    double angle_deg = 0, slip_hz = 0, volts_percent = 0, load_percent = 100, gap_ms = 0;
    bool json = false, sweep = false;
};

std::string json_text(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') {
            out += '\\';
            out += c;
        } else if (static_cast<unsigned char>(c) < 0x20) {
            out += fmt::format("\\u{:04x}", static_cast<unsigned>(c));
        } else {
            out += c;
        }
    }
    return out + '"';
}

std::string json_figures(const plant::ClosingResult& r) {
    return fmt::format(
        "\"steady_current_peak_a\": {:.6g}, \"steady_torque_nm\": {:.6g}, \"peak_current_a\": {:.6g}, "
        "\"peak_current_ratio\": {:.6g}, \"torque_max_nm\": {:.6g}, \"torque_min_nm\": {:.6g}, "
        "\"resultant_v_per_hz_pu\": {:.6g}",
        r.steady_current_peak_a, r.steady_torque_nm, r.peak_current_a, r.peak_current_ratio, r.torque_max_nm,
        r.torque_min_nm, r.resultant_v_per_hz_pu);
}

void print_json(const Arguments& asked, const config::Motor& motor, const plant::CircuitEstimate* estimate,
                const plant::ClosingResult& r, const std::vector<studies::SweepPoint>& sweep) {
    std::string out = fmt::format(
        "{{\"motor\": {}, \"angle_deg\": {:g}, \"slip_hz\": {:g}, \"volts_diff_percent\": {:g}, "
        "\"load_percent\": {:g}, "
        "\"gap_ms\": {:g},\n {},\n \"rated_torque_nm\": {:.6g}, \"limit_v_per_hz_pu\": {:g}, \"terminal_v\": "
        "{:.6g}, "
        "\"terminal_hz\": {:.6g}, \"terminal_angle_deg\": {:.6g},\n \"circuit_estimated\": {}",
        json_text(motor.name), asked.angle_deg, asked.slip_hz, asked.volts_percent, asked.load_percent,
        asked.gap_ms, json_figures(r), r.rated_torque_nm, plant::resultant_limit_pu, r.terminal_v,
        r.terminal_hz, r.terminal_angle_deg, estimate != nullptr);
    if (estimate != nullptr)
        out += fmt::format(", \"estimate_worst_error_percent\": {:.4g}", 100 * estimate->worst_error);
    if (!sweep.empty()) {
        out += ",\n \"sweep\": [";
        for (std::size_t i = 0; i < sweep.size(); ++i)
            out += fmt::format("{}\n  {{\"angle_deg\": {:g}, {}}}", i == 0 ? "" : ",", sweep[i].angle_deg,
                               json_figures(sweep[i].result));
        out += "\n ]";
    }
    out += fmt::format(",\n \"verdict\": {}}}\n", json_text(studies::verdict_of(r)));
    std::fputs(out.c_str(), stdout);
}

void print_text(const Arguments& asked, const config::Motor& motor, const plant::CircuitEstimate* estimate,
                const plant::ClosingResult& r, const std::vector<studies::SweepPoint>& sweep) {
    std::string out =
        fmt::format("{}: closing at {:g} deg, slip {:g} Hz, voltage difference {:g} %, load {:g} %",
                    motor.name, asked.angle_deg, asked.slip_hz, asked.volts_percent, asked.load_percent);
    out += asked.gap_ms > 0 ? fmt::format(", after {:g} ms open\n", asked.gap_ms) : ", instant change-over\n";
    if (asked.gap_ms > 0)
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
    if (!sweep.empty()) {
        out +=
            "\n  angle, deg   peak current, times   highest torque, times   lowest torque, times   "
            "resultant, pu\n";
        for (const studies::SweepPoint& point : sweep)
            out += fmt::format("  {:10.0f}   {:19.2f}   {:21.2f}   {:20.2f}   {:13.3f}\n", point.angle_deg,
                               point.result.peak_current_ratio,
                               point.result.torque_max_nm / point.result.rated_torque_nm,
                               point.result.torque_min_nm / point.result.rated_torque_nm,
                               point.result.resultant_v_per_hz_pu);
    }
    if (estimate != nullptr) {
        out += "\n  The circuit is estimated from the nameplate:\n";
        for (const plant::PlateCheck& check : estimate->checks)
            out += fmt::format("    {:30} plate {:12.5g}   circuit {:12.5g}   error {:+.2f} %{}\n",
                               check.figure, check.plate, check.circuit, 100 * check.error(),
                               check.assumed ? " (not on the plate: typical)" : "");
    }
    out += fmt::format(
        "\n  {}.\n  The limit is that of ANSI/NEMA C50.41 for reconnecting a motor; within it torque and "
        "current "
        "may still be many\n  times rated. A sync check's limits lie far below it.\n"
        "  A model's answer, not a permission to operate.\n",
        studies::verdict_of(r));
    std::fputs(out.c_str(), stdout);
}

}  // namespace

int closing_command(int argc, char** argv) {
    Arguments asked;
    CLI::App app{"What a closing at a given angle, slip and voltage difference does to a motor."};
    app.name("freshet closing");
    app.footer(foot);
    app.add_option("--motor", asked.motor, "motor or station file (TOML)")->required()->type_name("FILE");
    auto* angle =
        app.add_option("--angle", asked.angle_deg, "the source before leads the line by so much, degrees")
            ->check(CLI::Range(-360.0, 360.0))
            ->type_name("DEG");
    app.add_option("--slip-hz", asked.slip_hz, "its frequency less the line's, Hz; default 0")
        ->check(CLI::Range(-5.0, 5.0))
        ->type_name("X");
    app.add_option("--volts-diff", asked.volts_percent,
                   "its voltage less the line's, percent of rated; default 0")
        ->check(CLI::Range(-50.0, 50.0))
        ->type_name("PCT");
    app.add_option("--load", asked.load_percent,
                   "load on a fan characteristic, percent of rated; default 100")
        ->check(CLI::Range(0.0, 150.0))
        ->type_name("PCT");
    app.add_option("--gap-ms", asked.gap_ms,
                   "open for so long before closing, ms; default 0: instant change-over")
        ->check(CLI::Range(0.0, 60000.0))
        ->type_name("T");
    app.add_flag("--json", asked.json, "print the answer as JSON");
    app.add_option("--plot", asked.plot, "draw current and torque; with --sweep the peaks too")
        ->type_name("FILE.svg");
    auto* sweep_flag = app.add_flag("--sweep", asked.sweep, "also the peaks over 0 to 180 degrees");
    if (const auto code = service::read_command_line(app, argc, argv)) return *code;
    if (angle->count() == 0 && sweep_flag->count() == 0) {
        std::fputs(
            "freshet closing: --angle DEG is needed (or --sweep); `freshet closing --help` tells more\n",
            stderr);
        return exit_bad_input;
    }

    const auto loaded = config::load_motor(asked.motor);
    if (!loaded) {
        std::fputs(config::text_of(loaded.error()).c_str(), stderr);
        return exit_bad_input;
    }
    const std::vector<std::string> wrong = plant::nameplate_contradictions(*loaded);
    if (!loaded->has_circuit && !wrong.empty()) {
        for (const std::string& sentence : wrong)
            std::fprintf(stderr, "%s: nameplate: %s\n", asked.motor.c_str(), sentence.c_str());
        return exit_bad_input;
    }
    plant::CircuitEstimate estimate;
    if (!loaded->has_circuit) estimate = plant::estimate_circuit(*loaded);
    const config::Motor& motor = loaded->has_circuit ? *loaded : estimate.motor;
    const plant::CircuitEstimate* estimated = loaded->has_circuit ? nullptr : &estimate;

    plant::ClosingCase closing;
    closing.angle_deg = asked.angle_deg;
    closing.slip_hz = asked.slip_hz;
    closing.volts_difference_ratio = asked.volts_percent / 100;
    closing.load_ratio = asked.load_percent / 100;
    closing.gap_s = asked.gap_ms / 1000;
    std::vector<plant::ClosingTracePoint> trace;
    const plant::ClosingResult result =
        plant::closing_study(motor, closing, asked.plot.empty() ? nullptr : &trace);
    std::vector<studies::SweepPoint> sweep;
    if (asked.sweep) sweep = studies::sweep_angles(motor, closing, sweep_step_deg);

    if (!asked.plot.empty()) {
        std::ofstream file(asked.plot);
        file << studies::closing_svg(fmt::format("{}, closing at {:g} degrees", motor.name, asked.angle_deg),
                                     result, trace, sweep);
        if (!file.flush()) {
            std::fprintf(stderr, "freshet closing: %s cannot be written\n", asked.plot.c_str());
            return exit_failure;
        }
    }
    (asked.json ? print_json : print_text)(asked, motor, estimated, result, sweep);
    return result.within_limit() ? exit_good : exit_finding;
}

}  // namespace freshet::command
