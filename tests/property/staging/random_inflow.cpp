// Draws inflows; see the header.
#include "tests/property/staging/random_inflow.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "tests/property/staging/seconds.hpp"

namespace freshet::staging_campaign {
namespace {

constexpr std::int64_t monday_ms = 1'767'571'200'000;  // 5 January 2026, 00:00 UTC

/// Points of an inflow, one after another. A change at once takes a second, which is the grid of the plant.
class Curve {
  public:
    explicit Curve(double from_m3s) : points_{{0, from_m3s}} {}
    double time_s() const { return points_.back().t_s; }
    double value_m3s() const { return points_.back().value; }
    void hold(double for_s) { ramp(value_m3s(), for_s); }
    void ramp(double to_m3s, double for_s) {
        points_.push_back({time_s() + std::max(1.0, std::round(for_s)), std::max(0.0, to_m3s)});
    }
    void step(double to_m3s) { ramp(to_m3s, 1); }
    std::vector<config::SeriesPoint> points() const { return points_; }

  private:
    std::vector<config::SeriesPoint> points_;
};

/// What the kinds draw from: the flows of the station, and the time in which one pump fills the active
/// volume.
struct Draws {
    Dice& dice;
    const RandomStation& station;
    double duration_s;

    double full_m3s(std::size_t pumps) const {
        return station.capacity.full_m3s(pumps, reference_level_m(station));
    }
    double all_m3s() const { return full_m3s(station.given.pump_count); }
    /// At least three minutes, so that a change has an answer.
    double time_unit_s() const { return std::clamp(station.volume_m3 / full_m3s(1), 180.0, 1800.0); }
    double any_m3s() const { return dice.between(0, 1.0) * all_m3s(); }
};

void steps(Curve& curve, const Draws& draws) {
    while (curve.time_s() < draws.duration_s) {
        curve.step(draws.any_m3s());
        curve.hold(draws.dice.between(0.5, 4) * draws.time_unit_s());
    }
}

void ramps(Curve& curve, const Draws& draws) {
    while (curve.time_s() < draws.duration_s) {
        curve.ramp(draws.any_m3s(), draws.dice.between(1, 6) * draws.time_unit_s());
        curve.hold(draws.dice.between(0, 2) * draws.time_unit_s());
    }
}

void saws(Curve& curve, const Draws& draws) {
    const double period_s = draws.dice.between(0.5, 4) * draws.time_unit_s();
    const double rising = draws.dice.chance(0.5) ? 0.05 : 0.95;
    const double low_m3s = draws.dice.between(0, 0.5) * draws.all_m3s();
    const double high_m3s = draws.dice.between(0.5, 1.0) * draws.all_m3s();
    while (curve.time_s() < draws.duration_s) {
        curve.ramp(high_m3s, rising * period_s);
        curve.ramp(low_m3s, (1 - rising) * period_s);
    }
}

void pulses(Curve& curve, const Draws& draws) {
    const double base_m3s = draws.dice.between(0.05, 0.5) * draws.all_m3s();
    while (curve.time_s() < draws.duration_s) {
        curve.step(base_m3s);
        curve.hold(draws.dice.between(0.3, 3) * draws.time_unit_s());
        curve.step(draws.dice.between(0.5, 1.3) * draws.all_m3s());
        curve.hold(draws.dice.between(20, 240));
    }
}

/// An hour of gusts, then a constant inflow that all but one of the pumps carry.
void gusts(Curve& curve, const Draws& draws) {
    const double mean_m3s = draws.dice.between(0.2, 0.7) * draws.all_m3s();
    const double spread_m3s = draws.dice.between(0.05, 0.25) * draws.all_m3s();
    const double memory_s = draws.dice.decades(20, 200);
    constexpr double every_s = 5;
    const double keep = std::exp(-every_s / memory_s);
    double gust = 0;
    while (curve.time_s() < s_per_h) {
        gust = keep * gust + std::sqrt(1 - keep * keep) * draws.dice.bell();
        curve.ramp(std::min(mean_m3s + gust * spread_m3s, draws.all_m3s()), every_s);
    }
    const double after_m3s =
        draws.dice.between(0.5, 1.0) * draws.full_m3s(draws.station.given.pump_count - 1U);
    curve.ramp(after_m3s, draws.dice.between(1, 300));
}

void diurnal(Curve& curve, const Draws& draws) {
    const double mean_m3s = draws.dice.between(0.2, 0.55) * draws.all_m3s();
    const double swing = draws.dice.between(0.3, 0.8);
    const double period_s = draws.dice.between(0.7, 1.5) * draws.duration_s;
    constexpr double every_s = 60;
    while (curve.time_s() < draws.duration_s)
        curve.ramp(mean_m3s * (1 + swing * std::sin(2 * std::numbers::pi * curve.time_s() / period_s)),
                   every_s);
}

void in_band(Curve& curve, const Draws& draws) {
    const std::size_t line_pumps = draws.dice.below(draws.station.given.pump_count);
    const double low_m3s = draws.full_m3s(line_pumps);
    const double high_m3s = draws.station.capacity.least_m3s(line_pumps, reference_level_m(draws.station));
    const double inflow_m3s = low_m3s + draws.dice.between(0.1, 0.9) * (high_m3s - low_m3s);
    curve.ramp(inflow_m3s, draws.dice.between(1, 4) * draws.time_unit_s());
}

void at_capacity(Curve& curve, const Draws& draws) {
    while (curve.time_s() < draws.duration_s) {
        const std::size_t pumps = 1 + draws.dice.below(draws.station.given.pump_count);
        const double most = pumps == draws.station.given.pump_count ? 1.005 : 1.03;
        curve.ramp(draws.dice.between(0.96, most) * draws.full_m3s(pumps),
                   draws.dice.between(0.2, 2) * draws.time_unit_s());
        curve.hold(draws.dice.between(3, 10) * draws.time_unit_s());
    }
}

void dry_up(Curve& curve, const Draws& draws) {
    while (curve.time_s() < draws.duration_s) {
        curve.ramp(draws.dice.between(0.3, 1.0) * draws.all_m3s(),
                   draws.dice.between(0.2, 2) * draws.time_unit_s());
        curve.hold(draws.dice.between(1, 5) * draws.time_unit_s());
        curve.ramp(draws.dice.chance(0.7) ? 0 : 0.02 * draws.all_m3s(), draws.dice.decades(1, 300));
        curve.hold(draws.dice.between(1, 4) * draws.time_unit_s());
    }
}

/// Two crests over a base.
void storm(Curve& curve, const Draws& draws) {
    const double base_m3s = draws.dice.between(0.03, 0.3) * draws.all_m3s();
    for (int crest = 0; crest < 2; ++crest) {
        curve.ramp(base_m3s, 60);
        curve.hold(draws.dice.between(1, 3) * draws.time_unit_s());
        curve.ramp(draws.dice.between(0.6, 1.15) * draws.all_m3s(), draws.dice.decades(60, 1800));
        curve.hold(draws.dice.between(0, 900));
        curve.ramp(base_m3s, draws.dice.decades(300, 3600));
    }
}

/// From a small flow nearly at once to the flow of all pumps: the hardest case for any operator.
void surge(Curve& curve, const Draws& draws) {
    while (curve.time_s() < draws.duration_s) {
        curve.ramp(draws.dice.between(0.02, 0.4) * draws.all_m3s(), draws.dice.decades(60, 600));
        curve.hold(draws.dice.between(2, 4) * draws.time_unit_s());
        curve.ramp(draws.dice.between(0.8, 1.02) * draws.all_m3s(), draws.dice.decades(1, 60));
        curve.hold(draws.dice.between(1, 3) * draws.time_unit_s());
    }
}

}  // namespace

config::Scenario inflow_scenario(std::vector<config::SeriesPoint> inflow_m3s, double duration_s,
                                 double level_m, std::uint64_t seed) {
    config::Scenario scenario;
    scenario.name = "staging";
    scenario.start_ms = monday_ms;
    scenario.duration_s = duration_s;
    scenario.seed = seed;
    scenario.initial_level_m = level_m;
    scenario.weather.measured_inflow_m3s = std::move(inflow_m3s);
    return scenario;
}

config::Scenario random_inflow(const RandomStation& station, Kind kind, std::uint64_t seed) {
    constexpr std::uint64_t for_inflow = 1;
    Dice dice(seed, for_inflow);
    const Draws draws{dice, station, std::round(dice.between(2, 4) * s_per_h)};
    Curve curve(dice.between(0.02, 0.3) * draws.all_m3s());
    curve.hold(dice.between(0.5, 2) * draws.time_unit_s());
    constexpr std::array<void (*)(Curve&, const Draws&), kind_count> makers{
        steps, ramps, saws, pulses, gusts, diurnal, in_band, at_capacity, dry_up, storm, surge};
    makers[static_cast<std::size_t>(kind)](curve, draws);
    const core::Settings::Marks& marks = station.settings.marks;
    return inflow_scenario(curve.points(), draws.duration_s, dice.between(marks.stop_m, marks.stage_up_m),
                           seed);
}

config::Scenario constant_inflow(double inflow_m3s, double rise_s, double duration_s, double level_m,
                                 std::uint64_t seed) {
    return inflow_scenario({{0, 0}, {std::max(1.0, std::round(rise_s)), inflow_m3s}}, duration_s, level_m,
                           seed);
}

}  // namespace freshet::staging_campaign
