// A list for each table gives the column of each member. Reading and writing use the same list.
#include "hal/store/kept_rows.hpp"

#include <fmt/format.h>

#include <cstddef>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>

#include "controller/words/alarms.hpp"

namespace freshet::store {
namespace {

/// Shows a visitor each column of the table `station`: `count` for numbers and flags, `time` for instants.
/// `Kept` is core::Retained, constant or not.
template <class Kept, class Visitor>
void for_each_station_column(Kept& kept, Visitor& visit) {
    visit.time("seen_ms", kept.seen_ms);
    visit.time("last_start_ms", kept.last_start_ms);
    visit.time("last_line_start_ms", kept.last_line_start_ms);
    visit.time("transfer_retry_after_ms", kept.transfer_retry_after_ms);
    visit.time("drive_retry_after_ms", kept.drive_retry_after_ms);
    visit.count("transfer_attempts", kept.transfer_attempts);
    visit.count("drive_attempts", kept.drive_attempts);
    visit.count("drive_locked_out", kept.drive_locked_out);
    visit.count("reset_awaited", kept.reset_awaited);
    visit.count("drive_trips_spent", kept.drive_trips_spent);
}

/// The same for the table `pump`, without the pump's number.
template <class Pump, class Visitor>
void for_each_pump_column(Pump& pump, Visitor& visit) {
    visit.count("run_ms", pump.run_ms);
    visit.count("starts", pump.starts);
    visit.count("line_starts", pump.line_starts);
    visit.time("started_ms", pump.started_ms);
    visit.time("released_ms", pump.released_ms);
    visit.time("retry_after_ms", pump.retry_after_ms);
    visit.count("attempts", pump.attempts);
    visit.count("locked_out", pump.locked_out);
    visit.count("succession_starts", pump.succession_starts);
    visit.count("succession_warm", pump.succession_warm);
    visit.count("fed", pump.fed);
    visit.time("fed_ms", pump.fed_ms);
    visit.count("involuntary", pump.involuntary);
}

/// Lists the names, each with `behind` after the name: "a, b" or "a = ?, b = ?".
struct Names {
    std::string_view behind;
    std::string text = {};

    template <class Member>
    void count(std::string_view name, const Member& /*member*/) {
        if (!text.empty()) text += ", ";
        text.append(name).append(behind);
    }
    void time(std::string_view name, const std::int64_t& member) { count(name, member); }
};

struct ReadColumns {
    const Statement& row;
    int next;  ///< column of the row

    template <class Member>
    void count(std::string_view /*name*/, Member& member) {
        if constexpr (std::is_same_v<Member, bool>)
            member = row.integer(next++) != 0;
        else
            member = static_cast<Member>(row.integer(next++));
    }
    void time(std::string_view /*name*/, std::int64_t& member) { member = row.time(next++); }
};

struct BindColumns {
    Statement& row;

    template <class Member>
    void count(std::string_view /*name*/, const Member& member) {
        row.with(static_cast<std::int64_t>(member));
    }
    void time(std::string_view /*name*/, const std::int64_t& member) { row.with_time(member); }
};

std::string station_names(std::string_view behind) {
    Names names{behind};
    const core::Retained any;
    for_each_station_column(any, names);
    return names.text;
}

std::string pump_names() {
    Names names{""};
    const core::RetainedPump any;
    for_each_pump_column(any, names);
    return names.text;
}

/// The table `pump` as the present layout has it. The first layout does not have the time until which a pump
/// was fed, so no run is credited.
constexpr const char* pump_table(std::int64_t layout) {
    if (layout == 1) return "(SELECT *, 0 AS fed, started_ms AS fed_ms, 0 AS involuntary FROM pump)";
    return layout == 2 ? "(SELECT *, 0 AS involuntary FROM pump)" : "pump";
}

/// The table `station` as the present layout has it. The first two layouts know no reset after an emergency stop, and
/// the first three know no trips.
constexpr const char* station_table(std::int64_t layout) {
    if (layout <= 2) return "(SELECT *, 0 AS reset_awaited, 0 AS drive_trips_spent FROM station)";
    return layout == 3 ? "(SELECT *, 0 AS drive_trips_spent FROM station)" : "station";
}

/// The tables of times within the last hour.
enum class TimesTable : std::uint8_t { recent, trip };
constexpr std::string_view name_of(TimesTable table) {
    return table == TimesTable::recent ? "recent" : "trip";
}

core::RecentTimes read_times(sqlite3* base, TimesTable table, std::int64_t pump) {
    const std::string select = fmt::format("SELECT at_ms FROM {} WHERE pump = ? ORDER BY at_ms DESC LIMIT {}",
                                           name_of(table), core::hourly_max);
    Statement row(base, select.c_str());
    row.with(pump);
    core::RecentTimes times = core::HourlyCount{}.at_ms;
    for (std::size_t at = times.size(); at > 0 && row.step();) times[--at] = row.integer(0);
    return times;
}

/// The trips of a pump, or of the drive as pump 0. The first three layouts know no trips.
core::RecentTimes read_trips(sqlite3* base, std::int64_t pump, std::int64_t layout) {
    return layout <= 3 ? core::HourlyCount{}.at_ms : read_times(base, TimesTable::trip, pump);
}

/// The present name of an alarm. An earlier program called one alarm by another name.
std::string present_name(std::string name) {
    return name == "low_float_contradicts" ? "witnesses_contradict" : std::move(name);
}

template <std::size_t Count, class Words>
core::RetainedAlarms<Count> read_alarms(sqlite3* base, std::int64_t pump, const Words& words) {
    core::RetainedAlarms<Count> alarms;
    Statement row(base,
                  "SELECT name, latched, unacknowledged, out_of_service, shelved_until_ms FROM alarm "
                  "WHERE pump = ?");
    row.with(pump);
    while (row.step()) {
        const auto code = words::code_of(words, present_name(std::string(row.text(0))));
        if (!code)
            throw Refused{fmt::format("names an alarm '{}' that this program does not know", row.text(0))};
        const auto index = static_cast<std::size_t>(*code);
        const std::uint32_t bit = 1U << index;
        if (row.integer(1) != 0) alarms.latched |= bit;
        if (row.integer(2) != 0) alarms.unacknowledged |= bit;
        if (row.integer(3) != 0) alarms.out_of_service |= bit;
        alarms.shelved_until_ms[index] = row.time(4);
    }
    return alarms;
}

void read_pumps(sqlite3* base, core::Retained& kept, std::uint8_t pump_count, std::int64_t layout) {
    const std::string select =
        fmt::format("SELECT pump, {} FROM {} ORDER BY pump", pump_names(), pump_table(layout));
    Statement row(base, select.c_str());
    std::uint8_t pumps = 0;
    for (; row.step(); ++pumps) {
        if (pumps >= pump_count || row.integer(0) != pumps + 1) refuse_damaged();
        core::RetainedPump& one = kept.pumps[pumps];
        ReadColumns columns{row, 1};
        for_each_pump_column(one, columns);
        one.recent_starts_ms = read_times(base, TimesTable::recent, pumps + 1);
        one.recent_trips_ms = read_trips(base, pumps + 1, layout);
        one.alarms = read_alarms<core::pump_alarm_count>(base, pumps + 1, words::pump_alarms);
    }
    if (pumps != pump_count) refuse_damaged();
}

void write_times(sqlite3* base, TimesTable table, std::int64_t pump, const core::RecentTimes& times) {
    Statement(base, fmt::format("DELETE FROM {} WHERE pump = ?", name_of(table)).c_str()).with(pump).step();
    const std::string insert = fmt::format("INSERT INTO {} VALUES (?, ?)", name_of(table));
    for (const std::int64_t at_ms : times)
        if (at_ms != core::never_ms) Statement(base, insert.c_str()).with(pump).with(at_ms).step();
}

template <std::size_t Count, class Words>
void write_alarms(sqlite3* base, std::int64_t pump, const core::RetainedAlarms<Count>& alarms,
                  const Words& words) {
    Statement(base, "DELETE FROM alarm WHERE pump = ?").with(pump).step();
    for (std::size_t code = 0; code < Count; ++code) {
        const auto has = [code](std::uint32_t word) { return std::int64_t{word >> code & 1U}; };
        const std::int64_t shelved_until_ms = alarms.shelved_until_ms[code];
        const bool normal = has(alarms.latched | alarms.unacknowledged | alarms.out_of_service) == 0;
        if (normal && shelved_until_ms == core::never_ms) continue;
        Statement(base, "INSERT INTO alarm VALUES (?, ?, ?, ?, ?, ?)")
            .with(pump)
            .with(words[code].name)
            .with(has(alarms.latched))
            .with(has(alarms.unacknowledged))
            .with(has(alarms.out_of_service))
            .with_time(shelved_until_ms)
            .step();
    }
}

void write_pump(sqlite3* base, std::int64_t pump, const core::RetainedPump& one) {
    std::string marks = "?";
    for (const char letter : pump_names())
        if (letter == ',') marks += ", ?";
    const std::string insert =
        fmt::format("INSERT OR REPLACE INTO pump (pump, {}) VALUES (?, {})", pump_names(), marks);
    Statement row(base, insert.c_str());
    row.with(pump);
    BindColumns columns{row};
    for_each_pump_column(one, columns);
    row.step();
}

void write_station(sqlite3* base, const core::Retained& now) {
    Statement row(base, ("UPDATE station SET " + station_names(" = ?")).c_str());
    BindColumns columns{row};
    for_each_station_column(now, columns);
    row.step();
}

}  // namespace

std::optional<core::Retained> read_all(sqlite3* base, std::uint8_t pump_count, std::int64_t layout) {
    core::Retained kept;
    const std::string select = fmt::format("SELECT {} FROM {}", station_names(""), station_table(layout));
    Statement station(base, select.c_str());
    if (!station.step()) refuse_damaged();
    ReadColumns columns{station, 0};
    for_each_station_column(kept, columns);
    if (kept.seen_ms == core::never_ms) return std::nullopt;
    kept.recent_transfers_ms = read_times(base, TimesTable::recent, 0);
    kept.drive_trips_ms = read_trips(base, 0, layout);
    kept.alarms = read_alarms<core::station_alarm_count>(base, 0, words::station_alarms);
    read_pumps(base, kept, pump_count, layout);
    return kept;
}

void write_differences(sqlite3* base, const core::Retained& now, const core::Retained* was,
                       std::uint8_t pump_count) {
    write_station(base, now);
    if (was == nullptr || was->recent_transfers_ms != now.recent_transfers_ms)
        write_times(base, TimesTable::recent, 0, now.recent_transfers_ms);
    if (was == nullptr || was->drive_trips_ms != now.drive_trips_ms)
        write_times(base, TimesTable::trip, 0, now.drive_trips_ms);
    if (was == nullptr || was->alarms != now.alarms) write_alarms(base, 0, now.alarms, words::station_alarms);
    for (std::uint8_t pump = 0; pump < pump_count; ++pump) {
        const core::RetainedPump& one = now.pumps[pump];
        const core::RetainedPump* before = was != nullptr ? &was->pumps[pump] : nullptr;
        if (before != nullptr && *before == one) continue;
        write_pump(base, pump + 1, one);
        if (before == nullptr || before->recent_starts_ms != one.recent_starts_ms)
            write_times(base, TimesTable::recent, pump + 1, one.recent_starts_ms);
        if (before == nullptr || before->recent_trips_ms != one.recent_trips_ms)
            write_times(base, TimesTable::trip, pump + 1, one.recent_trips_ms);
        if (before == nullptr || before->alarms != one.alarms)
            write_alarms(base, pump + 1, one.alarms, words::pump_alarms);
    }
}

}  // namespace freshet::store
