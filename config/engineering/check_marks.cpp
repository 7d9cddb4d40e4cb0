// The marks of the duty, one above the other.
// One reason to change: the order of the marks.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "config/engineering/checks.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {
namespace {

/// A mark of the duty and its key in the file.
struct Mark {
    std::string_view key;
    double value_m;
};

/// Two marks of which the duty wants one above the other; for filling and pressure, one below the other.
struct Order {
    Mark lower, upper;
    bool or_equal = false;
};

/// The two neighbours between which a mark must lie. Heights count upwards for emptying, downwards otherwise.
struct Room {
    const Mark* below = nullptr;
    const Mark* above = nullptr;
};

/// Finds the one mark that can be moved to put all marks in order, and proposes a height for it.
class MarkOrder {
  public:
    MarkOrder(std::vector<Order> orders, bool direct, double margin_m)
        : orders_(std::move(orders)), sign_(direct ? 1 : -1), margin_m_(margin_m) {}

    std::vector<const Order*> broken() const {
        std::vector<const Order*> found;
        for (const Order& one : orders_) {
            const double difference = height(one.upper) - height(one.lower);
            if (!(one.or_equal ? difference >= 0 : difference > 0)) found.push_back(&one);
        }
        return found;
    }
    /// The mark that all broken orders share and that has room to move. Of the first order, the upper mark is
    /// tried before the lower.
    const Mark* culprit(const std::vector<const Order*>& found) const {
        for (const Mark* candidate : {&found.front()->upper, &found.front()->lower}) {
            const bool in_all = std::all_of(found.begin(), found.end(), [&](const Order* one) {
                return one->lower.key == candidate->key || one->upper.key == candidate->key;
            });
            if (in_all && has_room(room_of(*candidate))) return candidate;
        }
        return nullptr;
    }
    Room room_of(const Mark& mark) const {
        Room room;
        for (const Order& one : orders_) {
            if (one.upper.key == mark.key && (!room.below || height(one.lower) > height(*room.below)))
                room.below = &one.lower;
            if (one.lower.key == mark.key && (!room.above || height(one.upper) < height(*room.above)))
                room.above = &one.upper;
        }
        return room;
    }
    /// The middle between two neighbours, or a margin away from the only neighbour, to the centimetre.
    double suggested_m(const Room& room) const {
        const double wanted_m = room.below && room.above ? (room.below->value_m + room.above->value_m) / 2
                                : room.below             ? room.below->value_m + sign_ * margin_m_
                                                         : room.above->value_m - sign_ * margin_m_;
        constexpr double per_m = 100;
        const double rounded_m = std::round(wanted_m * per_m) / per_m;
        const bool inside = (!room.below || sign_ * rounded_m > height(*room.below)) &&
                            (!room.above || sign_ * rounded_m < height(*room.above));
        return inside ? rounded_m : wanted_m;
    }

  private:
    double height(const Mark& mark) const { return sign_ * mark.value_m; }
    bool has_room(const Room& room) const {
        return !room.below || !room.above || height(*room.below) < height(*room.above);
    }

    std::vector<Order> orders_;
    double sign_, margin_m_;
};

void check_order(Findings& findings, const core::Settings& settings) {
    const core::Settings::Marks& marks = settings.marks;
    const bool direct = settings.action == core::Action::direct;
    const Mark cutoff{direct ? "low_cutoff" : "high_cutoff", marks.low_cutoff_m}, stop{"stop", marks.stop_m},
        start{"start", marks.start_m}, stage_down{"stage_down", marks.stage_down_m},
        setpoint{"setpoint", marks.setpoint_m}, stage_up{"stage_up", marks.stage_up_m},
        alarm{direct ? "high_alarm" : "low_alarm", marks.high_alarm_m};
    const double margin_m = 2 * marks.deadband_m;
    const MarkOrder order({{cutoff, stop},
                           {stop, stage_down},
                           {stop, start},
                           {stage_down, setpoint},
                           {setpoint, stage_up},
                           {start, stage_up, true},
                           {stage_up, alarm}},
                          direct, margin_m);
    const std::vector<const Order*> broken = order.broken();
    if (broken.empty()) return;
    const std::string_view over = direct ? "above" : "below";
    const std::string_view under = direct ? "below" : "above";
    if (const Mark* mark = order.culprit(broken)) {
        const Room room = order.room_of(*mark);
        std::string where;
        if (room.below) where += fmt::format("{} {} at {:g} m", over, room.below->key, room.below->value_m);
        if (room.above)
            where += fmt::format("{}{} {} at {:g} m", where.empty() ? "" : " and ", under, room.above->key,
                                 room.above->value_m);
        return refuse(findings, fmt::format("control.marks.{}", mark->key),
                      fmt::format("{} is {:g} m; expected a mark {}, such as {:g} m", mark->key,
                                  mark->value_m, where, order.suggested_m(room)));
    }
    for (const Order* one : broken)
        refuse(
            findings, fmt::format("control.marks.{}", one->upper.key),
            fmt::format("{} is {:g} m; expected a mark {}{} {} at {:g} m", one->upper.key, one->upper.value_m,
                        one->or_equal ? "at or " : "", over, one->lower.key, one->lower.value_m));
}

}  // namespace

void check_marks(Findings& findings, const core::Settings& settings) {
    const core::Settings::Marks& marks = settings.marks;
    check_order(findings, settings);
    const double nearest_m = std::min(std::abs(marks.stage_up_m - marks.setpoint_m),
                                      std::abs(marks.setpoint_m - marks.stage_down_m));
    if (findings.empty() && !(marks.deadband_m < nearest_m))
        refuse(findings, "control.marks.deadband",
               fmt::format("deadband is {:g} m; expected less than {:g} m, the distance from the setpoint to "
                           "the nearer of stage_up and stage_down",
                           marks.deadband_m, nearest_m));
}

}  // namespace freshet::config
