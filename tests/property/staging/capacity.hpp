// The true flows of the combinations of a station, by level: what an ideal operator knows.
// One reason to change: the flows that an ideal operator must know.
#pragma once

#include <array>
#include <cstddef>

#include "config/station.hpp"

namespace freshet::staging_campaign {

/// Flow of `line_pumps` at line frequency and one more on the drive at `drive_hz`, m3/s. A motor at constant voltage
/// per frequency slips in proportion to its torque (source: common practice for small slips).
double flow_at_drive_hz_m3s(const config::Station& station, std::size_t line_pumps, double drive_hz,
                            double level_m);

/// Flows by the plant's own curves, kept at even levels and read with straight lines between them.
class Capacity {
  public:
    /// `lowest_m` and `highest_m`: the levels of the table. `station` empties a well.
    Capacity(const config::Station& station, double lowest_m, double highest_m);

    /// Flow of `pumps` at line frequency, m3/s.
    double full_m3s(std::size_t pumps, double level_m) const { return at(full_, pumps, level_m); }
    /// Flow of `line_pumps` at line frequency and one more on the drive that delivers its minimum
    /// continuous flow, m3/s. At most the flow with all of them at line frequency.
    double least_m3s(std::size_t line_pumps, double level_m) const { return at(least_, line_pumps, level_m); }
    /// No combination holds this flow steadily: more than `line_pumps` at line frequency carry, less than
    /// one more pump at its minimum flow adds.
    bool in_band(std::size_t line_pumps, double inflow_m3s, double level_m) const {
        return line_pumps < pumps_ && inflow_m3s >= full_m3s(line_pumps, level_m) &&
               inflow_m3s <= least_m3s(line_pumps, level_m);
    }

  private:
    static constexpr std::size_t levels = 9, pumps_most = 8;
    using Table = std::array<std::array<double, levels>, pumps_most + 1>;
    double at(const Table& table, std::size_t pumps, double level_m) const;

    std::size_t pumps_ = 0;
    double lowest_m_ = 0, step_m_ = 1;
    Table full_{}, least_{};
};

}  // namespace freshet::staging_campaign
