// Choosing by wear, by turn or by place; see the header.
#include "controller/core/rotation.hpp"

#include <algorithm>
#include <array>
#include <limits>

namespace freshet::core {

namespace {

/// The rank of each preference, in the order normal, preferred, last.
constexpr std::array<std::int64_t, 3> ranks{1, 0, 2};
static_assert(static_cast<std::size_t>(Preference::last) + 1 == ranks.size());

constexpr double ms_per_h = 3'600'000;

/// The number of a pump as people count.
constexpr double number_of(std::uint8_t pump) noexcept {
    return pump + 1;
}

/// What the order of starting compares. The lower value starts first.
enum class OrderKey : std::uint8_t { rank, starts_in_hour, hours, starts, turn, place, number };

/// The keys of each rotation, in the order of Rotation. The first key in which two pumps differ decides. The
/// number always differs.
using OrderKeys = std::array<OrderKey, 4>;
constexpr std::array<OrderKeys, 5> start_keys{{
    {OrderKey::rank, OrderKey::starts_in_hour, OrderKey::hours, OrderKey::number},
    {OrderKey::rank, OrderKey::starts_in_hour, OrderKey::starts, OrderKey::number},
    {OrderKey::rank, OrderKey::number},
    {OrderKey::rank, OrderKey::turn, OrderKey::number},
    {OrderKey::place, OrderKey::number},
}};
static_assert(static_cast<std::size_t>(Rotation::order) + 1 == start_keys.size());

/// By hours, the starts of the last hour do not say which pump stops.
constexpr OrderKeys stop_keys_by_hours{OrderKey::rank, OrderKey::hours, OrderKey::number};

/// The pump that started last; no_pump when no start is known.
std::uint8_t started_last(const SequencerState& state, const Settings& settings) noexcept {
    std::uint8_t last = no_pump;
    std::int64_t last_ms = never_ms;
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump) {
        if (state.pumps[pump].started_ms <= last_ms) continue;
        last = pump;
        last_ms = state.pumps[pump].started_ms;
    }
    return last;
}

/// The order of starting, as of now.
struct Order {
    const SequencerState& state;
    const Settings& settings;
    std::int64_t now_ms;
    std::uint8_t last = started_last(state, settings);

    std::int64_t value(OrderKey key, std::uint8_t pump) const noexcept {
        const PumpRecord& record = state.pumps[pump];
        switch (key) {
            case OrderKey::rank:
                return ranks[static_cast<std::size_t>(settings.preference[pump])];
            case OrderKey::starts_in_hour:
                return std::max<std::int64_t>(record.starts.within_hour(now_ms), 1);
            case OrderKey::hours:
                return record.run_ms;
            case OrderKey::starts:
                return record.starts_total;
            case OrderKey::turn: {
                const int first = last == no_pump ? 0 : last + 1;
                return (pump - first + settings.pump_count) % settings.pump_count;
            }
            case OrderKey::place:
                return settings.place[pump];
            case OrderKey::number:
                break;
        }
        return pump;
    }

    /// The first of `keys` in which two pumps differ.
    OrderKey deciding(const OrderKeys& keys, std::uint8_t a, std::uint8_t b) const noexcept {
        for (const OrderKey key : keys)
            if (value(key, a) != value(key, b)) return key;
        return OrderKey::number;
    }

    /// The pumps of `among` that are equal to `pump` in every key before `key`.
    double pumps_equal_until(OrderKey key, std::uint8_t pump, PumpMask among) const noexcept {
        double count = 0;
        for (std::uint8_t other = 0; other < settings.pump_count; ++other) {
            if (!has(among, other)) continue;
            const OrderKeys& keys = start_keys[static_cast<std::size_t>(settings.rotation)];
            const auto differs = [&](OrderKey one) { return value(one, other) != value(one, pump); };
            count += std::none_of(keys.begin(), std::find(keys.begin(), keys.end(), key), differs) ? 1 : 0;
        }
        return count;
    }

    /// Why `first` of the free pumps starts, and not `next`, the next in the order.
    Choice choice(std::uint8_t first, std::uint8_t next, PumpMask free) const noexcept {
        const OrderKey key = deciding(start_keys[static_cast<std::size_t>(settings.rotation)], first, next);
        const double own = static_cast<double>(value(key, first));
        const double other = static_cast<double>(value(key, next));
        const double number = number_of(next), pumps = pumps_equal_until(key, first, free);
        switch (key) {
            case OrderKey::rank:
                return {first, Reason::preferred, {number, 0, 0, 0}};
            case OrderKey::starts_in_hour: {
                const double own_starts = state.pumps[first].starts.within_hour(now_ms);
                return {first, Reason::fewest_starts_in_hour, {own_starts, other, number, pumps}};
            }
            case OrderKey::hours:
                return {first, Reason::fewest_hours, {own / ms_per_h, other / ms_per_h, number, pumps}};
            case OrderKey::starts:
                return {first, Reason::fewest_starts, {own, other, number, pumps}};
            case OrderKey::turn: {
                const double last_number =
                    last == no_pump ? std::numeric_limits<double>::quiet_NaN() : number_of(last);
                return {first, Reason::next_in_alternation, {last_number, number, pumps, 0}};
            }
            case OrderKey::place:
                return {first, Reason::first_in_order, {own + 1, other + 1, number, pumps}};
            case OrderKey::number:
                break;
        }
        return {first, Reason::lowest_number, {number, pumps, 0, 0}};
    }

    /// True when `a` starts before `b`.
    bool starts_before(std::uint8_t a, std::uint8_t b) const noexcept {
        const OrderKey key = deciding(start_keys[static_cast<std::size_t>(settings.rotation)], a, b);
        return value(key, a) < value(key, b);
    }

    /// True when `a` stops before `b`.
    bool stops_before(std::uint8_t a, std::uint8_t b) const noexcept {
        const Rotation by = settings.rotation;
        const OrderKeys& keys =
            by == Rotation::hours ? stop_keys_by_hours : start_keys[static_cast<std::size_t>(by)];
        const OrderKey key = deciding(keys, a, b);
        const bool by_turn = (by == Rotation::starts || by == Rotation::alternation) && key != OrderKey::rank;
        return by_turn ? value(key, a) < value(key, b) : value(key, a) > value(key, b);
    }
};

/// The pump of `among` that comes before all others; no_pump when `among` is empty.
template <class ComesBefore>
std::uint8_t first_pump_of(PumpMask among, const Settings& settings,
                           const ComesBefore& comes_before) noexcept {
    std::uint8_t first = no_pump;
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump)
        if (has(among, pump) && (first == no_pump || comes_before(pump, first))) first = pump;
    return first;
}

/// True when `a` has been idle for longer than `b`. A pump whose rest is unknown comes last.
bool is_idle_longer(const SequencerState& state, std::uint8_t a, std::uint8_t b) noexcept {
    const std::int64_t a_ms = state.pumps[a].released_ms, b_ms = state.pumps[b].released_ms;
    return a_ms != never_ms && (b_ms == never_ms || a_ms < b_ms);
}

/// How long a pump has been idle, h; not a number when nobody knows.
double idle_h(const SequencerState& state, std::uint8_t pump, std::int64_t now_ms) noexcept {
    const std::int64_t released_ms = state.pumps[pump].released_ms;
    return released_ms == never_ms ? std::numeric_limits<double>::quiet_NaN()
                                   : static_cast<double>(now_ms - released_ms) / ms_per_h;
}

}  // namespace

PumpMask exercise_due(PumpMask among, const SequencerState& state, const Settings& settings,
                      std::int64_t now_ms) noexcept {
    PumpMask due = 0;
    if (settings.exercise_ms <= 0) return due;
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump) {
        const std::int64_t released_ms = state.pumps[pump].released_ms;
        const bool idle_long = released_ms != never_ms && now_ms - released_ms >= settings.exercise_ms;
        if (has(among, pump) && idle_long) due = static_cast<PumpMask>(due | bit_of(pump));
    }
    return due;
}

Choice next_to_start(PumpMask among, const SequencerState& state, const Settings& settings,
                     std::int64_t now_ms) noexcept {
    const PumpMask due = exercise_due(among, state, settings, now_ms);
    const Order order{state, settings, now_ms};
    const auto comes_before = [&](std::uint8_t a, std::uint8_t b) {
        return due != 0 ? is_idle_longer(state, a, b) : order.starts_before(a, b);
    };
    const std::uint8_t first = first_pump_of(among, settings, comes_before);
    if (first == no_pump) return {};
    const auto others = static_cast<PumpMask>(among & ~bit_of(first));
    const std::uint8_t next = first_pump_of(others, settings, comes_before);
    if (next == no_pump) return {first, Reason::only_pump_free, {}};
    return due != 0 ? Choice{first,
                             Reason::idle_longest,
                             {idle_h(state, first, now_ms), idle_h(state, next, now_ms), number_of(next),
                              static_cast<double>(count_of(among))}}
                    : order.choice(first, next, among);
}

PumpMask relief_due(PumpMask among, const SequencerState& state, const Settings& settings,
                    std::int64_t now_ms) noexcept {
    PumpMask due = 0;
    if (settings.run_longest_ms <= 0) return due;
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump) {
        const std::int64_t started_ms = state.pumps[pump].started_ms;
        const bool runs_long = started_ms == never_ms || now_ms - started_ms >= settings.run_longest_ms;
        if (has(among, pump) && runs_long) due = static_cast<PumpMask>(due | bit_of(pump));
    }
    return due;
}

std::uint8_t next_to_stop(PumpMask among, const SequencerState& state, const Settings& settings,
                          std::int64_t now_ms) noexcept {
    const Order order{state, settings, now_ms};
    const PumpMask due = relief_due(among, state, settings, now_ms);
    return first_pump_of(due != 0 ? due : among, settings,
                         [&](std::uint8_t a, std::uint8_t b) { return order.stops_before(a, b); });
}

}  // namespace freshet::core
