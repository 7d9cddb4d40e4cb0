// `freshet check`: arguments, and the findings as text or JSON. The checks themselves are in check_findings.
// One reason to change: the arguments of this command, or its output.
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <cstdio>
#include <nlohmann/json.hpp>
#include <string>

#include "config/loader/units.hpp"
#include "controller/words/cautions.hpp"
#include "hal/service/command_line.hpp"
#include "sim_plant/command/commands.hpp"
#include "sim_plant/studies/check_findings.hpp"
#include "sim_plant/weather/inflow.hpp"

namespace freshet::command {
namespace {

constexpr const char* check_foot =
    "Examples:\n"
    "  freshet check config/stations/demo.toml\n"
    "  freshet check config/stations/demo.toml --scenario config/scenarios/design_storm.toml\n"
    "  freshet check config/stations/demo.toml --average \"400 L/s\" --peak \"2.3 m3/s\" --json\n"
    "\n"
    "Exit code: 0 no error found, 1 an error found, 2 bad input, 3 failed.\n"
    "The check uses published rules and rules of thumb. It does not replace a design review.";

constexpr std::array severity_words{"info", "warning", "error"};

std::string_view word_of(studies::Severity severity) {
    return severity_words.at(static_cast<std::size_t>(severity));
}

struct CheckArguments {
    std::string station, scenario, average, peak;
    bool json = false;
};

/// Reports bad input; the caller has already printed the message.
struct Refused {};

template <class Result>
Result value_or_refuse(tl::expected<Result, config::Errors> result) {
    if (result) return std::move(*result);
    std::fputs(config::text_of(result.error()).c_str(), stderr);
    throw Refused();
}

double flow_of(const config::Units& units, const char* option, const std::string& text) {
    const auto flow = units.si(text, config::Quantity::flow);
    if (flow && *flow > 0) return *flow;
    fmt::print(stderr, "freshet check: {}: {}\n", option, flow ? "expected a flow above zero" : flow.error());
    throw Refused();
}

/// Average and greatest inflow of a scenario, sampled once a minute.
studies::DesignFlows flows_of(const std::string& path) {
    const auto scenario = value_or_refuse(config::load_scenario(path));
    const plant::Inflow inflow(scenario.weather, scenario.start_ms, scenario.duration_s, scenario.seed);
    constexpr double step_s = 60;
    double peak_m3s = 0;
    for (double t_s = 0; t_s <= scenario.duration_s; t_s += step_s)
        peak_m3s = std::max(peak_m3s, inflow.at_m3s(t_s));
    if (peak_m3s > 0) return {scenario.weather.dry.average_m3s, peak_m3s, "\"" + scenario.title + "\""};
    fmt::print(stderr, "{}: has no inflow; expected a scenario of a well\n", path);
    throw Refused();
}

std::optional<studies::DesignFlows> design_flows(const CheckArguments& asked) {
    if (!asked.scenario.empty()) return flows_of(asked.scenario);
    if (asked.average.empty() && asked.peak.empty()) return std::nullopt;
    const auto units = config::Units::open();
    if (!units) {
        fmt::print(stderr, "freshet check: {}\n", units.error());
        throw Refused();
    }
    return studies::DesignFlows{flow_of(*units, "--average", asked.average),
                                flow_of(*units, "--peak", asked.peak), "the given flows"};
}

void print_check_text(const config::Station& station, const std::vector<studies::Finding>& findings) {
    fmt::print("{} ({})\n\n", station.name, station.file);
    for (const studies::Finding& finding : findings) {
        fmt::print("{:<8} {}\n", word_of(finding.severity), finding.says);
        if (!finding.rule.empty())
            fmt::print("{:<8}   rule: {} ({})\n", "", finding.rule, finding.source);
        else if (!finding.source.empty())
            fmt::print("{:<8}   by: {}\n", "", finding.source);
    }
    const auto count = [&](studies::Severity severity) {
        return std::ranges::count(findings, severity, &studies::Finding::severity);
    };
    const auto counted = [&](studies::Severity severity, std::string_view one) {
        const auto number = count(severity);
        return fmt::format("{} {}{}", number, one, number == 1 ? "" : "s");
    };
    fmt::print("\n{}, {}. This check does not replace a design review.\n{}\n",
               counted(studies::Severity::error, "error"), counted(studies::Severity::warning, "warning"),
               words::caution_line);
}

void print_check_json(const config::Station& station, const std::vector<studies::Finding>& findings) {
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    for (const studies::Finding& finding : findings)
        list.push_back({{"severity", word_of(finding.severity)},
                        {"about", finding.about},
                        {"figure", finding.figure},
                        {"unit", finding.unit},
                        {"says", finding.says},
                        {"rule", finding.rule},
                        {"source", finding.source}});
    const auto count = [&](studies::Severity severity) {
        return std::ranges::count(findings, severity, &studies::Finding::severity);
    };
    const nlohmann::ordered_json answer{{"station", station.name},
                                        {"file", station.file},
                                        {"errors", count(studies::Severity::error)},
                                        {"warnings", count(studies::Severity::warning)},
                                        {"findings", list},
                                        {"caution", words::caution_line}};
    fmt::print("{}\n", answer.dump(2));
}

}  // namespace

int check_command(int argc, char** argv) {
    CheckArguments asked;
    CLI::App app{
        "Engineering check of a station: capacity, operating range, velocities, cycling, starts, transfer."};
    app.name("freshet check");
    app.footer(check_foot);
    app.add_option("STATION", asked.station, "station file (TOML)")->required();
    auto* scenario = app.add_option("--scenario", asked.scenario,
                                    "scenario file (TOML) from which the average and greatest flow are taken")
                         ->type_name("FILE");
    auto* average = app.add_option("--average", asked.average, "average flow, such as \"400 L/s\"")
                        ->type_name("FLOW")
                        ->excludes(scenario);
    auto* peak = app.add_option("--peak", asked.peak, "greatest flow, such as \"2.3 m3/s\"")
                     ->type_name("FLOW")
                     ->excludes(scenario);
    average->needs(peak);
    peak->needs(average);
    app.add_flag("--json", asked.json, "print the findings as JSON");
    if (const auto code = service::read_command_line(app, argc, argv)) return *code;
    try {
        const auto file = value_or_refuse(config::load_station_file(asked.station));
        const auto findings = studies::examine(file, design_flows(asked));
        (asked.json ? print_check_json : print_check_text)(file.station, findings);
        return std::ranges::count(findings, studies::Severity::error, &studies::Finding::severity) > 0
                   ? exit_finding
                   : exit_good;
    } catch (const Refused&) {
        return exit_bad_input;
    }
}

}  // namespace freshet::command
