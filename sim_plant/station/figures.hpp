// The figures of a run that only the station itself can know: true levels, energy and its cost, contacts and
// starts. One reason to change: a figure that a run must state about the plant.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <vector>

#include "config/station.hpp"
#include "sim_plant/physics/closing_record.hpp"

namespace freshet::plant {

inline constexpr std::size_t pumps_max = 8;
/// Most closings that a run keeps one by one. The run counts all.
inline constexpr std::size_t closings_max = 1000;

/// One closing of a motor onto a live source: station time, and what the closing did to the motor.
struct Closing {
    double at_ms = 0;
    ClosingRecord record;  ///< of a drive-side or line-side contactor
};

/// Counted from the true contacts, never from advice or from auxiliary contacts that may lie.
struct Figures {
    double level_max_m = -std::numeric_limits<double>::infinity();
    double level_min_m = std::numeric_limits<double>::infinity();
    double cost = 0;          ///< in the tariff's money
    bool has_tariff = false;  ///< false: no cost is calculated
    std::uint32_t hand_overs = 0, take_backs = 0;
    std::array<std::uint32_t, pumps_max> starts{};       ///< from unfed, by the drive or the line
    std::array<std::uint32_t, pumps_max> line_starts{};  ///< from unfed, straight onto the line
    std::array<std::int64_t, pumps_max> run_ms{};        ///< fed by line or drive
    std::uint32_t starts_per_hour_max = 0;               ///< of any pump in any sixty minutes
    std::uint32_t transfers_per_hour_max = 0;            ///< completed in any sixty minutes
    double overlap_ms_max = 0;                           ///< both contactors of one motor closed, longest
    double closing_angle_deg_max = 0;  ///< at the instant contacts met inside a transfer, unsigned
    std::uint32_t closing_count = 0;   ///< of the whole run
    std::vector<Closing> closings;     ///< in order, the first `closings_max` of the run
};

/// One motor's true contacts, and whether it is fed: by the line, or by a running drive.
struct Contacts {
    bool drive_side = false, line_side = false, fed = false;
    friend bool operator==(const Contacts&, const Contacts&) = default;
};

/// Makes Figures out of what happens to contacts, level and energy.
class FigureKeeper {
  public:
    FigureKeeper() = default;
    explicit FigureKeeper(const config::Station& station, std::int64_t start_ms, double level_m);

    /// Every step.
    void level(double level_m) {
        if (level_m > figures_.level_max_m) figures_.level_max_m = level_m;
        if (level_m < figures_.level_min_m) figures_.level_min_m = level_m;
    }

    /// Once the station's clock has passed `next_price_ms()`: prices what was drawn since the last call.
    void energy(std::int64_t now_ms, double energy_j);
    std::int64_t next_price_ms() const { return next_price_ms_; }

    /// A motor's contacts have changed at `at_ms` (fractions of a millisecond count). `angle_deg` is that
    /// between drive and line at that instant.
    void contacts(std::size_t pump, Contacts now, double at_ms, double angle_deg);

    void closing(const Closing& one);

    /// The figures as they are at `now_ms`, contacts that are still closed included.
    Figures at(std::int64_t now_ms, double energy_j) const;

  private:
    struct Pump {
        Contacts contacts;
        double run_since_ms = 0, overlap_since_ms = 0;
        bool overlap_began_on_drive = false;
        double run_ms = 0;
        std::vector<double> starts_ms;  ///< of the last hour
    };

    double price_at(std::int64_t time_ms) const;

    Figures figures_;
    std::array<Pump, pumps_max> pumps_;
    std::vector<double> transfers_ms_;  ///< of the last hour
    std::array<double, 24> price_per_joule_{};
    bool has_tariff_ = false;
    double energy_priced_j_ = 0;
    std::int64_t priced_to_ms_ = 0;
    std::int64_t next_price_ms_ = std::numeric_limits<std::int64_t>::max();
};

}  // namespace freshet::plant
