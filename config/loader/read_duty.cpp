// Reads what the duty asks of the water; see the header.
// One reason to change: a setting of the duty.
#include "config/loader/read_duty.hpp"

#include <fmt/format.h>

#include <array>
#include <optional>
#include <string>

#include "config/engineering/derive.hpp"

namespace freshet::config {
namespace {

constexpr std::array<std::string_view, 7> weekdays{"sunday",   "monday", "tuesday", "wednesday",
                                                   "thursday", "friday", "saturday"};

std::optional<int> weekday_of(const Node& node) {
    if (node.kind != Node::Kind::string) return std::nullopt;
    for (std::size_t day = 0; day < weekdays.size(); ++day)
        if (node.string == weekdays[day]) return static_cast<int>(day);
    return std::nullopt;
}

/// Days of the week as bits; an empty list: never.
std::uint8_t read_days(TableReader& table) {
    constexpr std::string_view expected =
        "a list of days, such as [\"monday\", \"thursday\"], or [] for never";
    const Node* node = table.required("days", expected);
    if (node == nullptr) return 0;
    unsigned days = 0;
    if (node->kind != Node::Kind::array) {
        table.source().error(node->place, fmt::format("{} is {}; expected {}", table.called("days"),
                                                      name_of(node->kind), expected));
        return 0;
    }
    for (const Node& element : node->elements) {
        const std::optional<int> day = weekday_of(element);
        if (day)
            days |= 1U << static_cast<unsigned>(*day);
        else
            table.source().error(element.place,
                                 fmt::format("{} has an entry that is no day of the week; expected {}",
                                             table.called("days"), expected));
    }
    return static_cast<std::uint8_t>(days);
}

/// "05:30" as milliseconds after midnight.
std::optional<std::int32_t> clock_ms(const std::string& text) {
    const auto digit = [&](std::size_t i) { return text[i] >= '0' && text[i] <= '9' ? text[i] - '0' : -100; };
    if (text.size() != 5 || text[2] != ':') return std::nullopt;
    const int hour = 10 * digit(0) + digit(1), minute = 10 * digit(3) + digit(4);
    if (hour < 0 || hour > 23 || minute < 0 || minute > 59) return std::nullopt;
    constexpr std::int32_t minute_ms = 60'000;
    return (60 * hour + minute) * minute_ms;
}

core::Settings::Timed read_time(TableReader& table) {
    core::Settings::Timed time;
    time.days = read_days(table);
    constexpr std::string_view expected = "a local time of day, such as \"05:30\"";
    const std::string text = table.string("at", expected);
    const std::optional<std::int32_t> at_ms = clock_ms(text);
    if (!at_ms && !text.empty())
        table.source().error(table.optional("at")->place,
                             fmt::format("{} is \"{}\"; expected {}", table.called("at"), text, expected));
    time.at_ms = at_ms.value_or(0);
    constexpr double longest_s = 12 * 3600;
    time.within_ms = table.milliseconds("within", {0, longest_s, true});
    return time;
}

}  // namespace

void read_duty(TableReader& control, const Station& station, core::Settings& settings) {
    settings.utc_offset_ms = station.utc_offset_ms;
    settings.sleep.wanted = in_optional_table(control, "sleep", [&](TableReader& table) {
        settings.sleep.wake_m = table.quantity("wake", Quantity::length);
        settings.sleep.boost_m = table.quantity("boost", Quantity::length);
    });
    in_optional_table(control, "setpoint_by_flow", [&](TableReader& table) {
        const double loss_m = table.quantity("loss", Quantity::length, not_negative);
        const double flow_m3s = table.quantity("at_flow", Quantity::flow, positive);
        if (flow_m3s > 0) settings.flow_setpoint.loss_s2m5 = loss_m / (flow_m3s * flow_m3s);
        settings.flow_setpoint.rise_max_m = table.quantity("rise_max", Quantity::length, not_negative);
    });
    in_optional_table(control, "cheap_hours", [&](TableReader& table) {
        settings.cheap.rise_m = table.quantity("rise", Quantity::length, not_negative);
    });
    in_optional_table(control, "draw_down", [&](TableReader& table) {
        settings.draw_down.time = read_time(table);
        settings.draw_down.level_m = table.quantity("level", Quantity::length);
    });
    in_optional_table(control, "scour", [&](TableReader& table) {
        settings.scour.time = read_time(table);
        settings.scour.flow_m3s =
            scour_flow_m3s(station.main, table.quantity("velocity", Quantity::velocity, positive));
        settings.scour.lasts_ms = table.milliseconds("lasts", positive);
    });
}

}  // namespace freshet::config
