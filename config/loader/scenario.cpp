// Reads a scenario: its station, weather, first state and faults.
// One reason to change: what a scenario file can describe.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>

#include "config/devices.hpp"
#include "config/loader/fault_amounts.hpp"
#include "config/loader/read.hpp"
#include "config/loader/reader.hpp"
#include "config/loader/series.hpp"

namespace freshet::config {
namespace {

constexpr double hour_s = 3600;

class ScenarioReader {
  public:
    explicit ScenarioReader(Source& source) : source_(&source) {}

    void read(TableReader& document) {
        scenario_.file = source_->file;
        scenario_.name = std::filesystem::path(source_->file).stem().string();
        in_table(document, "scenario", "a [scenario] table", [&](TableReader& table) { read_run(table); });
        read_weather(document);
        in_optional_table(document, "demand", [&](TableReader& table) {
            const double average = table.quantity("average", Quantity::flow, not_negative);
            const std::vector<double> pattern = table.numbers("pattern", 24, not_negative);
            // A factor is the mean of its hour, so it belongs to the middle of the hour.
            for (std::size_t hour = 0; hour < pattern.size(); ++hour)
                scenario_.demand_m3s.push_back(
                    {(static_cast<double>(hour) + 0.5) * hour_s, average * pattern[hour]});
        });
        if (station_ && map_) {
            const Errors apart = check_together(*map_, *station_);
            others_.insert(others_.end(), apart.begin(), apart.end());
        }
        in_each_if_given(document, "fault", "[[fault]] tables",
                         [&](TableReader& table) { read_fault(table); });
        in_each_if_given(document, "people", "[[people]] tables",
                         [&](TableReader& table) { read_people(table); });
    }

    Scenario take() { return std::move(scenario_); }

  private:
    void read_run(TableReader& table) {
        scenario_.title = table.string("title", "a title");
        scenario_.station_file = beside(table.string("station", "the path of a station file"));
        scenario_.field_map_file = beside(table.string("field_map", "the path of a field map"));
        scenario_.start_ms = table.instant("start");
        scenario_.duration_s = table.quantity("duration", Quantity::duration, {1, 366 * 24 * hour_s});
        scenario_.seed =
            static_cast<std::uint64_t>(table.integer("seed", 0, std::numeric_limits<std::int64_t>::max()));
        if (const Node* node = table.optional("station"); node != nullptr && node->kind == Node::Kind::string)
            station_ = read_other<StationFile>(*node, scenario_.station_file, read_station_file);
        if (const Node* node = table.optional("field_map");
            node != nullptr && node->kind == Node::Kind::string)
            map_ = read_other<FieldMap>(*node, scenario_.field_map_file, read_field_map);
        if (!station_) {  // the station decides which of the two keys is needed
            table.optional("initial_level");
            table.optional("initial_pressure");
            return;
        }
        if (station_->station.duty == Duty::hold_pressure) {
            scenario_.initial_level_m = table.quantity("initial_pressure", Quantity::length, not_negative);
            return;
        }
        scenario_.initial_level_m = table.quantity("initial_level", Quantity::length);
        const auto& storage = station_->station.well.storage;
        if (const Node* node = table.optional("initial_level");
            node != nullptr && (scenario_.initial_level_m < storage.front().level_m ||
                                scenario_.initial_level_m > storage.back().level_m))
            source_->error(
                node->place,
                fmt::format("{} is \"{}\"; expected a level within the storage table, from {:g} to {:g} m",
                            table.called("initial_level"), node->string, storage.front().level_m,
                            storage.back().level_m));
    }

    void read_weather(TableReader& document) {
        Weather& weather = scenario_.weather;
        in_optional_table(document, "dry_weather", [&](TableReader& table) {
            weather.dry.average_m3s = table.quantity("average", Quantity::flow, not_negative);
            std::ranges::copy(table.numbers("weekday", 24, not_negative), weather.dry.weekday.begin());
            std::ranges::copy(table.numbers("weekend", 24, not_negative), weather.dry.weekend.begin());
            for (const char* key : {"weekday", "weekend"}) check_mean(table, key);
            weather.dry.variation_ratio =
                table.optional_quantity("variation", Quantity::ratio, fraction).value_or(0);
        });
        in_each_if_given(document, "storm", "[[storm]] tables",
                         [&](TableReader& table) { weather.storms.push_back(read_storm(table)); });
        const bool caught = in_optional_table(
            document, "catchment", [&](TableReader& table) { read_catchment(table, weather.catchment); });
        if (!weather.storms.empty() && !caught)
            document.missing("catchment",
                             "[[storm]] has no catchment to fall on; expected a [catchment] table");
        const bool measured = in_optional_table(document, "measured_inflow", [&](TableReader& table) {
            if (const auto flow = read_table(table, "file", "the path of a CSV file", read_measured_flow))
                weather.measured_inflow_m3s = *flow;
            check_length(table);
        });
        if (measured && (weather.dry.average_m3s > 0 || !weather.storms.empty()))
            source_->error(document.optional("measured_inflow")->place,
                           "[measured_inflow] is given together with [dry_weather] or [[storm]]; expected "
                           "one or the other, because a measured inflow holds both");
    }

    /// The factors multiply the average, so their mean is one. A hundredth is allowed for rounded factors.
    void check_mean(TableReader& table, std::string_view key) {
        const Node* node = table.optional(key);
        if (node == nullptr || node->kind != Node::Kind::array || node->elements.size() != 24) return;
        double sum = 0;
        for (const Node& element : node->elements) sum += element.real;
        if (std::abs(sum / 24 - 1) > 0.01)
            source_->error(node->place,
                           fmt::format("{} has a mean of {:.3f}; expected hourly factors with a mean of 1",
                                       table.called(key), sum / 24));
    }

    /// After the end of its series a run would continue with the last value.
    void check_length(TableReader& table) {
        const auto& series = scenario_.weather.measured_inflow_m3s;
        if (series.empty() || series.back().t_s >= scenario_.duration_s) return;
        source_->error(
            table.optional("file")->place,
            fmt::format("the series lasts {:g} h, but the run lasts {:g} h; expected a series as long as the "
                        "run, or a duration of \"{:g} s\"",
                        series.back().t_s / hour_s, scenario_.duration_s / hour_s, series.back().t_s));
    }

    /// A storm or fault that begins after the end of the run would have no effect.
    void check_beginning(TableReader& table, double begins_s) { check_within(table, "begins", begins_s); }
    void check_within(TableReader& table, std::string_view key, double time_s) {
        if (scenario_.duration_s <= 0 || time_s < scenario_.duration_s) return;
        source_->error(table.optional(key)->place,
                       fmt::format("{} is {:g} h after the start of the run, but the run lasts only {:g} h; "
                                   "expected a time within the run",
                                   table.called(key), time_s / hour_s, scenario_.duration_s / hour_s));
    }

    Storm read_storm(TableReader& table) {
        Storm storm;
        storm.begins_s = table.quantity("begins", Quantity::duration);
        check_beginning(table, storm.begins_s);
        if (table.optional("rain") != nullptr) {
            if (const auto rain = read_table(table, "rain", "the path of a CSV file", read_measured_rain)) {
                storm.distribution = rain->distribution;
                storm.depth_m = rain->depth_m;
                storm.duration_s = rain->duration_s;
            }
            return storm;
        }
        if (const auto distribution =
                read_table(table, "distribution", "the path of a rain distribution", read_distribution))
            storm.distribution = *distribution;
        storm.depth_m = table.quantity("depth", Quantity::length, positive);
        storm.duration_s = table.quantity("duration", Quantity::duration, positive);
        return storm;
    }

    void read_catchment(TableReader& table, Catchment& catchment) {
        in_optional_table(table, "sewered", [&](TableReader& sewered) {
            catchment.sewered_area_m2 = sewered.quantity("area", Quantity::area, positive);
            in_each(sewered, "triangles", "a list of { r, time_to_peak, recession_ratio }",
                    [&](TableReader& entry) {
                        SewerTriangle triangle;
                        triangle.r = entry.quantity("r", Quantity::ratio, fraction);
                        triangle.time_to_peak_s =
                            entry.quantity("time_to_peak", Quantity::duration, positive);
                        triangle.recession_ratio = entry.number("recession_ratio", positive);
                        catchment.triangles.push_back(triangle);
                    });
        });
        in_optional_table(table, "surface", [&](TableReader& surface) {
            catchment.surface_area_m2 = surface.quantity("area", Quantity::area, positive);
            catchment.curve_number = surface.number("curve_number", {1, 100});
            catchment.time_of_concentration_s =
                surface.quantity("time_of_concentration", Quantity::duration, positive);
        });
    }

    void read_fault(TableReader& table) {
        Fault fault;
        fault.begins_s = table.quantity("begins", Quantity::duration, not_negative);
        check_beginning(table, fault.begins_s);
        fault.lasts_s = table.optional_quantity("lasts", Quantity::duration, positive).value_or(0);
        fault.device = table.string("device", "the name of a device");
        const std::size_t pumps = station_ ? station_->station.pump_count : pumps_max;
        const auto device = find_device(fault.device, pumps);
        if (!device) {
            for (const char* key : {"kind", "amount"}) table.optional(key);
            if (fault.device.empty()) return;
            const std::vector<std::string> names = device_names(pumps);
            const std::string_view near =
                nearest(fault.device, std::vector<std::string_view>(names.begin(), names.end()));
            source_->error(
                table.optional("device")->place,
                fmt::format("unknown device \"{}\" for a station of {} pumps{}", fault.device, pumps,
                            near.empty() ? "" : fmt::format("; nearest known device \"{}\"", near)));
            return;
        }
        std::vector<Word<FaultKind>> kinds;
        for (const FaultKind kind : faults_of(device->kind_of_device))
            kinds.push_back({word_for(kind), kind});
        fault.kind = read_kind(table, kinds);
        read_amount(table, *device, fault);
        scenario_.faults.push_back(fault);
    }

    void read_people(TableReader& table) {
        static constexpr std::array<Word<PeopleAction>, 3> actions{
            {{"reset", PeopleAction::reset},
             {"press_reset", PeopleAction::press_reset},
             {"acknowledge", PeopleAction::acknowledge}}};
        PeopleAct act;
        act.at_s = table.quantity("at", Quantity::duration, positive);
        check_within(table, "at", act.at_s);
        act.action = table.word("action", std::span<const Word<PeopleAction>>(actions));
        if (act.action == PeopleAction::press_reset && map_ && !has_reset_button(*map_))
            source_->error(
                table.optional("action")->place,
                "the field map has no signal \"emergency_stop_reset\", so the station has no reset "
                "button; expected \"reset\", which people do at the controller");
        scenario_.people.push_back(act);
    }

    static bool has_reset_button(const FieldMap& map) {
        return std::ranges::any_of(map.entries, [](const FieldEntry& entry) {
            return entry.signal == index_of(StationSignal::emergency_stop_reset);
        });
    }

    FaultKind read_kind(TableReader& table, std::span<const Word<FaultKind>> kinds) {
        const Node* node = table.optional("kind");
        if (node != nullptr && node->kind == Node::Kind::string) {
            const auto now = kind_once_called(node->string);
            if (now && std::ranges::find(kinds, *now, &Word<FaultKind>::value) != kinds.end()) {
                source_->error(node->place, fmt::format("the fault \"{}\" has a new name; expected \"{}\"",
                                                        node->string, word_for(*now)));
                return *now;
            }
        }
        return table.word("kind", kinds);
    }

    void read_amount(TableReader& table, const Device& device, Fault& fault) {
        const AmountRule rule = amount_of(fault.kind, device.kind_of_device);
        switch (rule.use) {
            case AmountUse::of_signal:
                return read_signal_amount(table, device, "", fault);
            case AmountUse::of_signal_per_s:
                return read_signal_amount(table, device, "/s", fault);
            case AmountUse::needed:
                fault.amount = table.quantity("amount", rule.quantity, rule.range) * rule.factor;
                return;
            case AmountUse::optional:
                fault.amount =
                    table.optional_quantity("amount", rule.quantity, rule.range).value_or(0) * rule.factor;
                return;
            case AmountUse::none:
                break;
        }
        if (const Node* node = table.optional("amount"))
            source_->error(node->place,
                           fmt::format("{} has no meaning for the fault \"{}\"; expected no amount",
                                       table.called("amount"), word_for(fault.kind)));
    }

    void read_signal_amount(TableReader& table, const Device& device, std::string_view per, Fault& fault) {
        const std::string unit = std::string(amount_unit(device)) + std::string(per);
        const std::string expected = fmt::format("a value such as \"0.1 {}\"", unit);
        const Node* node = table.required("amount", expected);
        if (node == nullptr) return;
        const auto value =
            node->kind == Node::Kind::string
                ? source_->units.linear(node->string, unit, expected)
                : tl::expected<Units::Linear, std::string>(
                      tl::unexpect, fmt::format("is {}; expected {}", name_of(node->kind), expected));
        if (value)
            fault.amount = value->factor;
        else
            source_->error(node->place, fmt::format("{}: {}", table.called("amount"), value.error()));
    }

    std::string beside(const std::string& path) const {
        if (path.empty()) return path;
        return (std::filesystem::path(source_->file).parent_path() / path).lexically_normal().string();
    }

    /// Another configuration file that this file names. Its errors join ours.
    template <class Result, class Reading>
    std::optional<Result> read_other(const Node& node, const std::string& path, Reading reading) {
        const auto text = read_text(path);
        if (!text) {
            for (const Error& error : text.error())
                source_->error(node.place,
                               fmt::format("\"{}\" {}; a path in this file starts from the file's own folder",
                                           path, error.message));
            return std::nullopt;
        }
        auto result = reading(*text, path, source_->units);
        if (result) return std::move(*result);
        others_.insert(others_.end(), result.error().begin(), result.error().end());
        return std::nullopt;
    }

    template <class Reading>
    auto read_table(TableReader& table, std::string_view key, std::string_view expected, Reading reading)
        -> std::optional<std::decay_t<decltype(*reading(std::string_view(), std::string()))>> {
        const std::string path = beside(table.string(key, expected));
        if (path.empty()) return std::nullopt;
        return read_other<std::decay_t<decltype(*reading(std::string_view(), std::string()))>>(
            *table.optional(key), path, [&](std::string_view text, const std::string& file, const Units&) {
                return reading(text, file);
            });
    }

  public:
    Errors others_;  ///< of the other files

  private:
    Source* source_;
    Scenario scenario_;
    std::optional<StationFile> station_;
    std::optional<FieldMap> map_;
};

}  // namespace

tl::expected<Scenario, Errors> read_scenario(std::string_view text, const std::string& file,
                                             const Units& units) {
    const auto document = parse_document(text, file);
    if (!document) return tl::unexpected(document.error());
    Source source{file, units, {}};
    TableReader reader(source, *document, "");
    ScenarioReader scenario(source);
    scenario.read(reader);
    reader.close();
    Errors errors = in_order(std::move(source.errors));
    errors.insert(errors.end(), scenario.others_.begin(), scenario.others_.end());
    if (!errors.empty()) return tl::unexpected(errors);
    return scenario.take();
}

}  // namespace freshet::config
