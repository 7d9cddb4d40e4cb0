// Dynamic programming over time, combination and volume; see the header.
#include "tests/property/staging/foreseeing.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>

namespace freshet::staging_campaign {
namespace {

constexpr std::size_t cells = 160, nodes = cells + 1;
constexpr double impossible = std::numeric_limits<double>::infinity();
/// The price of a start, as a share of the volume between stop mark and crest: far below any overflow that
/// matters.
constexpr double start_price_share = 1e-6;

struct Combination {
    std::size_t line_pumps = 0;
    bool drive_pump = false;
    std::size_t index() const { return 2 * line_pumps + (drive_pump ? 1 : 0); }
    std::size_t pumps() const { return line_pumps + (drive_pump ? 1 : 0); }
};

enum class Way : std::uint8_t { stay, start, hand_over };

/// The volume after some steps, and what was spilt. The overflow is impossible below the stop mark.
struct Passed {
    double volume_m3 = 0, spilt_m3 = 0;
};

/// The flows of the station at even volumes, with straight lines between them.
class FlowGrid {
  public:
    FlowGrid(const Foresight& station) : low_m3_(station.stop_m3) {
        step_m3_ = (station.top_m3 - low_m3_) / cells;
        full_.resize(station.pumps + 1);
        least_.resize(station.pumps + 1);
        for (std::size_t i = 0; i < nodes; ++i) {
            const double volume_m3 = at_node(i);
            for (std::size_t pumps = 0; pumps <= station.pumps; ++pumps) {
                full_[pumps][i] = station.full_m3s(pumps, volume_m3);
                least_[pumps][i] = pumps < station.pumps ? station.least_m3s(pumps, volume_m3) : 0;
            }
            weir_[i] = volume_m3 > station.crest_m3 ? station.weir_m3s(volume_m3) : 0;
        }
    }
    double at_node(std::size_t i) const { return low_m3_ + static_cast<double>(i) * step_m3_; }
    double full_m3s(std::size_t pumps, double volume_m3) const { return read(full_[pumps], volume_m3); }
    double least_m3s(std::size_t line_pumps, double volume_m3) const {
        return read(least_[line_pumps], volume_m3);
    }
    double weir_m3s(double volume_m3) const { return read(weir_, volume_m3); }
    template <class Values>
    double read(const Values& values, double volume_m3) const {
        const double place =
            std::clamp((volume_m3 - low_m3_) / step_m3_, 0.0, static_cast<double>(cells) - 1e-9);
        const auto i = static_cast<std::size_t>(place);
        const double share = place - static_cast<double>(i);
        return (1 - share) * static_cast<double>(values[i]) + share * static_cast<double>(values[i + 1]);
    }

  private:
    double low_m3_, step_m3_ = 1;
    std::vector<std::array<double, nodes>> full_, least_;
    std::array<double, nodes> weir_{};
};

/// Passes a step in which the weir takes what it can.
void spill(Passed& passed, double net_m3s, double step_s, const FlowGrid& grid, double crest_m3) {
    const auto parts = static_cast<int>(std::ceil(step_s));
    const double part_s = step_s / parts;
    for (int part = 0; part < parts; ++part) {
        passed.volume_m3 += net_m3s * part_s;
        const double over_m3 = passed.volume_m3 - crest_m3;
        if (over_m3 <= 0) continue;
        const double spilt_m3 = std::min(over_m3, grid.weir_m3s(passed.volume_m3) * part_s);
        passed.volume_m3 -= spilt_m3;
        passed.spilt_m3 += spilt_m3;
    }
}

class Programme {
  public:
    Programme(const Foresight& station, const std::vector<double>& inflow_m3s, double step_s)
        : station_(station),
          inflow_m3s_(inflow_m3s),
          step_s_(step_s),
          grid_(station),
          combinations_(2 * station.pumps + 1),
          start_price_m3_(start_price_share * (station.crest_m3 - station.stop_m3)),
          start_steps_(whole_steps(station.start_s)),
          hand_over_steps_(whole_steps(station.hand_over_s)),
          value_((inflow_m3s.size() + 1) * combinations_) {
        for (std::size_t step = inflow_m3s_.size(); step-- > 0;)
            for (std::size_t index = 0; index < combinations_; ++index)
                for (std::size_t i = 0; i < nodes; ++i)
                    value_[step * combinations_ + index][i] =
                        static_cast<float>(best_value(step, {index / 2, index % 2 == 1}, i));
    }

    /// Follows the best way from a station at rest, with exact volumes.
    Foreseen follow(double volume_m3) const {
        Foreseen found;
        Combination now;
        for (std::size_t step = 0; step < inflow_m3s_.size();) {
            Way way = Way::stay;
            choose(step, volume_m3, now, way);
            const Passed passed = pass(step, volume_m3, now, way);
            volume_m3 = passed.volume_m3;
            found.overflow_m3 += passed.spilt_m3;
            found.starts += way == Way::start ? 1 : 0;
            step += steps_of(way);
            now = after(now, way);
        }
        return found;
    }

  private:
    std::size_t whole_steps(double time_s) const {
        return static_cast<std::size_t>(std::max(1.0, std::floor(time_s / step_s_)));
    }
    std::size_t steps_of(Way way) const {
        return way == Way::start ? start_steps_ : way == Way::hand_over ? hand_over_steps_ : 1;
    }
    static Combination after(Combination now, Way way) {
        if (way == Way::start) return {now.line_pumps, true};
        if (way == Way::hand_over) return {now.line_pumps + 1, false};
        return now;
    }
    bool may(Combination now, Way way) const {
        if (way == Way::start) return !now.drive_pump && now.line_pumps < station_.pumps;
        return way == Way::stay || (now.drive_pump && now.pumps() < station_.pumps);
    }

    /// The flows that the pumps may have in a step of a way.
    struct Range {
        double least_m3s, most_m3s;
    };
    Range range(Combination now, Way way, std::size_t step_of_way, double volume_m3) const {
        const double line_m3s = grid_.full_m3s(now.line_pumps, volume_m3);
        if (way == Way::start) {
            const double middle_s = (static_cast<double>(step_of_way) + 0.5) * station_.start_s /
                                    static_cast<double>(start_steps_);
            const double share = std::clamp(
                (middle_s - station_.delivers_s) / (station_.start_s - station_.delivers_s), 0.0, 1.0);
            const double more_m3s = grid_.full_m3s(now.line_pumps + 1, volume_m3) - line_m3s;
            return {line_m3s, line_m3s + share * more_m3s};
        }
        if (!now.drive_pump) return {line_m3s, line_m3s};
        const double full_m3s = grid_.full_m3s(now.line_pumps + 1, volume_m3);
        return {way == Way::hand_over ? full_m3s : grid_.least_m3s(now.line_pumps, volume_m3), full_m3s};
    }

    Passed pass(std::size_t step, double volume_m3, Combination now, Way way) const {
        Passed passed{volume_m3, 0};
        const std::size_t end = std::min(step + steps_of(way), inflow_m3s_.size());
        for (std::size_t at = step; at < end; ++at) {
            const Range flows = range(now, way, at - step, passed.volume_m3);
            const double down_to_stop_m3s = inflow_m3s_[at] + (passed.volume_m3 - station_.stop_m3) / step_s_;
            if (flows.least_m3s > down_to_stop_m3s) return {passed.volume_m3, impossible};
            const double net_m3s = inflow_m3s_[at] - std::min(flows.most_m3s, down_to_stop_m3s);
            if (std::max(passed.volume_m3, passed.volume_m3 + net_m3s * step_s_) > station_.crest_m3)
                spill(passed, net_m3s, step_s_, grid_, station_.crest_m3);
            else
                passed.volume_m3 += net_m3s * step_s_;
        }
        return passed;
    }

    double value_of(std::size_t step, double volume_m3, Combination now, Way way) const {
        if (!may(now, way)) return impossible;
        const Passed passed = pass(step, volume_m3, now, way);
        if (passed.spilt_m3 == impossible) return impossible;
        const std::size_t then = std::min(step + steps_of(way), inflow_m3s_.size());
        return passed.spilt_m3 + (way == Way::start ? start_price_m3_ : 0) +
               grid_.read(value_[then * combinations_ + after(now, way).index()], passed.volume_m3);
    }

    /// The value of a node. Combinations with fewer pumps at the same instant are known already, and a stop
    /// takes no time.
    double best_value(std::size_t step, Combination now, std::size_t node) const {
        double best = impossible;
        for (const Way way : {Way::stay, Way::start, Way::hand_over})
            best = std::min(best, value_of(step, grid_.at_node(node), now, way));
        const auto known = [&](Combination fewer) {
            return static_cast<double>(value_[step * combinations_ + fewer.index()][node]);
        };
        if (now.drive_pump) best = std::min(best, known({now.line_pumps, false}));
        if (now.line_pumps > 0) best = std::min(best, known({now.line_pumps - 1, now.drive_pump}));
        return best;
    }

    /// The best of staying, starting and handing over, after any stops.
    void choose(std::size_t step, double volume_m3, Combination& now, Way& chosen) const {
        double best = impossible;
        const Combination before = now;
        for (std::size_t fewer = 0; fewer <= before.line_pumps; ++fewer)
            for (const bool stops : {false, true}) {
                const Combination from{before.line_pumps - fewer, before.drive_pump && !stops};
                for (const Way way : {Way::stay, Way::start, Way::hand_over}) {
                    const double value = value_of(step, volume_m3, from, way);
                    if (!(value < best)) continue;
                    best = value;
                    now = from;
                    chosen = way;
                }
            }
    }

    const Foresight& station_;
    const std::vector<double>& inflow_m3s_;
    double step_s_;
    FlowGrid grid_;
    std::size_t combinations_;
    double start_price_m3_;
    std::size_t start_steps_, hand_over_steps_;
    std::vector<std::array<float, nodes>> value_;  ///< by step and combination
};

}  // namespace

Foreseen foresee(const Foresight& station, const std::vector<double>& inflow_m3s, double step_s,
                 double volume_m3) {
    return Programme{station, inflow_m3s, step_s}.follow(volume_m3);
}

double least_overflow_m3(const Foresight& station, const std::vector<double>& inflow_m3s, double step_s,
                         double volume_m3) {
    const FlowGrid grid{station};
    Passed passed{volume_m3, 0};
    for (const double in_m3s : inflow_m3s) {
        const double full_m3s = grid.full_m3s(station.pumps, passed.volume_m3);
        const double down_to_stop_m3s = in_m3s + (passed.volume_m3 - station.stop_m3) / step_s;
        spill(passed, in_m3s - std::min(full_m3s, down_to_stop_m3s), step_s, grid, station.crest_m3);
    }
    return passed.spilt_m3;
}

}  // namespace freshet::staging_campaign
