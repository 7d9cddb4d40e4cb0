// Reads the controller's settings from a station file, key by key.
// One reason to change: a setting of the controller.
#include "config/loader/read_settings.hpp"

#include <fmt/format.h>

#include <array>

#include "config/engineering/checks.hpp"
#include "config/engineering/derive_settings.hpp"
#include "config/loader/read_duty.hpp"
#include "controller/core/sequencer.hpp"

namespace freshet::config {
namespace {

constexpr std::array selections{Word<core::Selection>{"average", core::Selection::average},
                                Word<core::Selection>{"higher", core::Selection::higher},
                                Word<core::Selection>{"by_quality", core::Selection::by_quality}};
constexpr std::array rotations{Word<core::Rotation>{"hours", core::Rotation::hours},
                               Word<core::Rotation>{"starts", core::Rotation::starts},
                               Word<core::Rotation>{"fixed", core::Rotation::fixed},
                               Word<core::Rotation>{"alternation", core::Rotation::alternation},
                               Word<core::Rotation>{"order", core::Rotation::order}};
/// What the drive pump does with an inflow that it carries: true fills and draws.
constexpr std::array uses_of_water{Word<bool>{"hold", false}, Word<bool>{"fill_and_draw", true}};
constexpr Range positive_fraction{0, 1, true};
constexpr Range a_scan_or_more{.least = 0.02};

/// The core names its two outer marks for emptying. For filling and pressure the marks are mirrored, and the
/// file uses the mirrored names.
void read_marks(TableReader& table, core::Settings& settings) {
    const bool direct = settings.action == core::Action::direct;
    core::Settings::Marks& marks = settings.marks;
    marks.setpoint_m = table.quantity("setpoint", Quantity::length);
    marks.deadband_m = table.quantity("deadband", Quantity::length, not_negative);
    marks.start_m = table.quantity("start", Quantity::length);
    marks.stop_m = table.quantity("stop", Quantity::length);
    marks.stage_up_m = table.quantity("stage_up", Quantity::length);
    marks.stage_down_m = table.quantity("stage_down", Quantity::length);
    marks.low_cutoff_m = table.quantity(direct ? "low_cutoff" : "high_cutoff", Quantity::length);
    marks.high_alarm_m = table.quantity(direct ? "high_alarm" : "low_alarm", Quantity::length);
}

void read_signal(TableReader& table, core::Settings::SignalLimits& signal) {
    signal.selection = table.word("selection", std::span<const Word<core::Selection>>(selections));
    signal.stale_ms = table.milliseconds("stale", a_scan_or_more);
    signal.fault_hold_ms = table.milliseconds("fault_hold");
    signal.rate_max_m_s = table.quantity("rate_max", Quantity::velocity, positive);
    signal.disagreement_m = table.quantity("disagreement", Quantity::length, positive);
    signal.disagreement_hold_ms = table.milliseconds("disagreement_hold");
    signal.freeze_ms = table.milliseconds("freeze");
    signal.recover_ms = table.milliseconds("recover");
}

/// The marks of the lag pumps are optional. A file that gives marks gives them for every pump but the first.
void read_lag_marks(TableReader& table, const Station& station, core::Settings::Staging& staging) {
    constexpr std::string_view key = "lag";
    const Node* node = table.optional(key);
    if (node == nullptr) return;
    const std::string expected =
        fmt::format("{} tables, with the start and stop of each pump but the first", station.pump_count - 1);
    in_each(table, key, expected, [&](TableReader& one) {
        const double start_m = one.quantity("start", Quantity::length);
        const double stop_m = one.quantity("stop", Quantity::length);
        if (staging.lag_count < staging.lag.size()) staging.lag.at(staging.lag_count) = {start_m, stop_m};
        ++staging.lag_count;
    });
    if (node->kind == Node::Kind::array && staging.lag_count + 1 != station.pump_count)
        table.source().error(node->place, fmt::format("{} has {} tables; expected {}", table.called(key),
                                                      staging.lag_count, expected));
}

void read_staging(TableReader& table, const Station& station, core::Settings::Staging& staging) {
    staging.up_delay_ms = table.milliseconds("up_delay");
    staging.down_delay_ms = table.milliseconds("down_delay");
    staging.forecast = table.boolean("forecast");
    staging.observer_s = table.quantity("observer", Quantity::duration, positive);
    staging.forecast_margin = table.number("forecast_margin", positive);
    read_lag_marks(table, station, staging);
}

void read_sync(TableReader& table, core::Settings::SyncCheck& sync) {
    sync.slip_max_hz = table.quantity("slip_max", Quantity::frequency, positive);
    sync.voltage_max_ratio = table.quantity("voltage_max", Quantity::ratio, positive_fraction);
    sync.angle_max_deg = table.quantity("angle_max", Quantity::angle, {0, 60, true});
    sync.hold_ms = table.milliseconds("hold");
    sync.age_max_ms = table.milliseconds("age_max", a_scan_or_more);
}

void read_step(TableReader& table, core::Settings::StepLimits& step) {
    step.close_ms = table.milliseconds("close", a_scan_or_more);
    step.open_ms = table.milliseconds("open", a_scan_or_more);
    step.overlap_ms = table.milliseconds("overlap", a_scan_or_more);
    step.drive_start_ms = table.milliseconds("drive_start", a_scan_or_more);
    step.ramp_margin_ms = table.milliseconds("ramp_margin");
    step.synchronise_ms = table.milliseconds("synchronise", a_scan_or_more);
    step.synchronise_expected_ms = table.milliseconds("synchronise_expected");
    step.retry_pause_ms = table.milliseconds("retry_pause");
    const core::Settings::StepLimits usual;
    step.transfer_pause_ms = table.optional_milliseconds("transfer_pause").value_or(usual.transfer_pause_ms);
    step.attempts_max = static_cast<std::uint8_t>(table.integer("attempts_max", 1, 20));
}

void read_permissives(TableReader& table, const Station& station, core::Settings::Permissives& permissives) {
    permissives.rest_min_ms = table.milliseconds("rest_min");
    permissives.run_min_ms = table.milliseconds("run_min");
    permissives.starts_per_hour_max = static_cast<std::uint8_t>(table.integer("starts_per_hour_max", 1, 60));
    permissives.transfers_per_hour_max =
        static_cast<std::uint8_t>(table.integer("transfers_per_hour_max", 1, 240));
    const core::Settings::Permissives usual;
    permissives.trips_per_hour_max = static_cast<std::uint8_t>(
        table.optional("trips_per_hour_max") != nullptr
            ? table.integer("trips_per_hour_max", 1, static_cast<std::int64_t>(core::hourly_max))
            : std::int64_t{usual.trips_per_hour_max});
    permissives.residual_voltage_ms = table.milliseconds("residual_voltage");
    permissives.winding_temperature_max_k =
        table.quantity("winding_temperature_max", Quantity::temperature, {273, 573});
    // A refused number of pumps must not make these limits wrong as well.
    const std::int64_t all = station.pump_count != 0 ? station.pump_count : core::pumps_max;
    permissives.pumps_max_on_line = static_cast<std::uint8_t>(table.integer("pumps_max_on_line", 1, all));
    permissives.pumps_max_on_generator =
        static_cast<std::uint8_t>(table.integer("pumps_max_on_generator", 0, all));
    permissives.current_loss_ms = table.milliseconds("current_loss");
}

/// The table is optional, and so is each of its keys: a watch with the usual figures costs nobody a pump that
/// delivers.
void read_delivery(TableReader& table, core::Settings::Delivery& delivery) {
    delivery.hold_ms = table.optional_milliseconds("hold").value_or(delivery.hold_ms);
    delivery.lost_max_ratio = table.optional_quantity("lost_max", Quantity::ratio, positive_fraction)
                                  .value_or(delivery.lost_max_ratio);
}

/// The table is optional. A file that has the table gives all of its keys; none has a default.
void read_succession(TableReader& table, core::Settings::Succession& succession) {
    constexpr std::int64_t most_starts = 10;
    succession.cold_starts_max = static_cast<std::uint8_t>(table.integer("cold_starts", 1, most_starts));
    succession.warm_starts_max = static_cast<std::uint8_t>(table.integer("warm_starts", 1, most_starts));
    succession.cool_ms = table.milliseconds("cool", positive);
    succession.rest_ms = table.milliseconds("rest", positive);
    succession.even_run_ms = table.milliseconds("even_run", positive);
    succession.drive_starts_count = table.boolean("drive_starts_count");
}

void read_line_start(TableReader& table, core::Settings::LineStart& line_start) {
    line_start.allowed = table.boolean("allowed");
    line_start.spacing_ms = table.milliseconds("spacing");
    line_start.supply_dip_max_ratio = table.quantity("supply_dip_max", Quantity::ratio, positive_fraction);
}

/// A list of pump numbers, counted from one. Calls `take` with each pump of the list, counted from zero, and
/// the place of its number in the file.
template <class Take>
void read_pump_numbers(TableReader& table, std::string_view key, const Node& node, const Station& station,
                       Take take) {
    const std::string expected = fmt::format("a list of pump numbers from 1 to {}", station.pump_count);
    if (node.kind != Node::Kind::array)
        return table.source().error(node.place, fmt::format("{} is {}; expected {}", table.called(key),
                                                            name_of(node.kind), expected));
    for (const Node& element : node.elements) {
        if (element.kind == Node::Kind::integer && element.integer >= 1 &&
            element.integer <= station.pump_count)
            take(static_cast<std::size_t>(element.integer - 1), element.place);
        else
            table.source().error(
                element.place,
                fmt::format("{} names a pump that does not exist; expected {}", table.called(key), expected));
    }
}

void read_preference(TableReader& table, std::string_view key, core::Preference preference,
                     const Station& station, core::Settings& settings) {
    const Node* node = table.optional(key);
    if (node == nullptr) return;
    if (settings.rotation == core::Rotation::order)
        return table.source().error(
            node->place,
            fmt::format("{} contradicts by = \"order\", because the order says which pump starts "
                        "first; expected no {}",
                        table.called(key), key));
    read_pump_numbers(table, key, *node, station, [&](std::size_t pump, Place place) {
        core::Preference& present = settings.preference.at(pump);
        if (present != core::Preference::normal)
            table.source().error(
                place, fmt::format("{} names pump {} a second time; expected each pump in one list at most",
                                   table.called(key), pump + 1));
        present = preference;
    });
}

/// The operator's order: a list that names each pump once.
void read_order(TableReader& table, const Station& station, core::Settings& settings) {
    constexpr std::string_view key = "order";
    if (settings.rotation != core::Rotation::order) {
        if (const Node* node = table.optional(key); node != nullptr)
            table.source().error(
                node->place,
                fmt::format("{} has no effect with this \"by\"; expected by = \"order\", or no order",
                            table.called(key)));
        return;
    }
    const std::string expected = "a list that names each pump once, the first to start first";
    const Node* node = table.required(key, expected);
    if (node == nullptr) return;
    const std::size_t errors = table.source().errors.size();
    std::array<bool, core::pumps_max> named{};
    std::uint8_t places = 0;
    read_pump_numbers(table, key, *node, station, [&](std::size_t pump, Place place) {
        if (named.at(pump))
            return table.source().error(place, fmt::format("{} names pump {} a second time; expected {}",
                                                           table.called(key), pump + 1, expected));
        named.at(pump) = true;
        settings.place.at(pump) = places++;
    });
    if (table.source().errors.size() != errors) return;
    for (std::size_t pump = 0; pump < station.pump_count; ++pump)
        if (!named.at(pump))
            table.source().error(node->place, fmt::format("{} leaves out pump {}; expected {}",
                                                          table.called(key), pump + 1, expected));
}

void read_rotation(TableReader& table, const Station& station, core::Settings& settings) {
    settings.rotation = table.word("by", std::span<const Word<core::Rotation>>(rotations));
    settings.exercise_ms = table.optional_milliseconds("exercise").value_or(0);
    constexpr Range an_hour_or_more{.least = 3600};
    settings.run_longest_ms = table.optional_milliseconds("run_longest", an_hour_or_more).value_or(0);
    read_order(table, station, settings);
    read_preference(table, "preferred", core::Preference::preferred, station, settings);
    read_preference(table, "last", core::Preference::last, station, settings);
}

}  // namespace

core::Settings read_settings(TableReader& document, const Station& station) {
    core::Settings settings;
    settings.pump_count = station.pump_count;
    settings.action = station.duty == Duty::empty_well ? core::Action::direct : core::Action::reverse;
    settings.measured =
        station.duty == Duty::hold_pressure ? core::Measured::header_pressure : core::Measured::level;
    in_table(document, "control", "a [control] table", [&](TableReader& control) {
        settings.scan_ms = control.milliseconds("scan", {0.02, 1});
        if (in_table(control, "marks", "a [control.marks] table",
                     [&](TableReader& table) { read_marks(table, settings); })) {
            Findings findings;
            check_marks(findings, settings);
            report(document.source(), document.node(), findings);
        }
        in_table(control, "signal", "a [control.signal] table",
                 [&](TableReader& table) { read_signal(table, settings.signal); });
        in_table(control, "speed", "a [control.speed] table", [&](TableReader& table) {
            settings.drive.speed_max_hz = table.quantity("max", Quantity::frequency, positive);
            settings.drive.speed_min_hz = table.quantity("min", Quantity::frequency, not_negative);
            settings.drive.tolerance_hz = table.quantity("tolerance", Quantity::frequency, positive);
        });
        in_table(control, "demand", "a [control.demand] table", [&](TableReader& table) {
            settings.demand.arrest_s = table.quantity("arrest", Quantity::duration, positive);
            settings.demand.rate_max_hz_s = table.quantity("rate_max", Quantity::frequency_rate, positive);
            settings.draw.wanted =
                table.optional_word("water", std::span<const Word<bool>>(uses_of_water)).value_or(false);
        });
        read_duty(control, station, settings);
        in_table(control, "staging", "a [control.staging] table",
                 [&](TableReader& table) { read_staging(table, station, settings.staging); });
        in_table(control, "sync", "a [control.sync] table",
                 [&](TableReader& table) { read_sync(table, settings.sync); });
        in_table(control, "step", "a [control.step] table",
                 [&](TableReader& table) { read_step(table, settings.step); });
        in_table(control, "permissives", "a [control.permissives] table",
                 [&](TableReader& table) { read_permissives(table, station, settings.permissives); });
        in_optional_table(control, "succession",
                          [&](TableReader& table) { read_succession(table, settings.succession); });
        in_optional_table(control, "discharge_pressure", [&](TableReader& table) {
            settings.permissives.discharge_pressure_max_m = table.quantity("max", Quantity::length, positive);
            settings.permissives.discharge_pressure_hold_ms = table.milliseconds("hold");
        });
        in_optional_table(control, "delivery",
                          [&](TableReader& table) { read_delivery(table, settings.delivery); });
        in_table(control, "line_start", "a [control.line_start] table",
                 [&](TableReader& table) { read_line_start(table, settings.line_start); });
        settings.floats.fitted = in_optional_table(control, "floats", [&](TableReader& table) {
            settings.floats.hold_ms = table.milliseconds("hold");
            settings.floats.run_on_ms = table.milliseconds("run_on");
        });
        in_table(control, "restart", "a [control.restart] table", [&](TableReader& table) {
            settings.restart.settle_ms = table.milliseconds("settle");
            settings.restart.spacing_ms = table.milliseconds("spacing");
            settings.restart.drive_wait_ms =
                table.optional_milliseconds("drive_wait").value_or(usual_drive_wait_ms(station.drive));
        });
        in_table(control, "supply", "a [control.supply] table", [&](TableReader& table) {
            settings.supply.voltage_min_ratio =
                table.quantity("voltage_min", Quantity::ratio, positive_fraction);
            settings.supply.frequency_band_ratio =
                table.quantity("frequency_band", Quantity::ratio, positive_fraction);
            settings.supply.lost_hold_ms = table.milliseconds("lost_hold");
        });
        in_table(control, "rotation", "a [control.rotation] table",
                 [&](TableReader& table) { read_rotation(table, station, settings); });
    });
    return settings;
}

}  // namespace freshet::config
