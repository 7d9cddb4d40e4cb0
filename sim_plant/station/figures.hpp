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
/// A run keeps the records of at most this many closings. The run counts all closings.
inline constexpr std::size_t closings_max = 1000;

/// One closing of a motor onto a live source: the station time, and the effect of the closing on the motor.
struct Closing {
    double at_ms = 0;
    ClosingRecord record;  ///< of a drive-side or line-side contactor
};

/// The true contacts give the counts. Advice and auxiliary contacts never do. An auxiliary contact may
/// be false.
struct Figures {
    double level_max_m = -std::numeric_limits<double>::infinity();
    double level_min_m = std::numeric_limits<double>::infinity();
    double cost = 0;          ///< in the tariff's money
    bool has_tariff = false;  ///< false: the run calculates no cost
    std::uint32_t hand_overs = 0, take_backs = 0;
    std::array<std::uint32_t, pumps_max> starts{};       ///< the motor was unfed before
    std::array<std::uint32_t, pumps_max> line_starts{};  ///< unfed before, fed by the line
    std::array<std::int64_t, pumps_max> run_ms{};        ///< time on the line or on the drive
    std::uint32_t starts_per_hour_max = 0;               ///< most starts of one pump in sixty minutes
    std::uint32_t transfers_per_hour_max = 0;            ///< completed transfers in any sixty minutes
    double overlap_ms_max = 0;                           ///< longest time with both contactors closed
    double closing_angle_deg_max = 0;  ///< largest unsigned angle when contacts met in a transfer
    std::uint32_t closing_count = 0;   ///< of the whole run
    std::vector<Closing> closings;     ///< the first `closings_max` of the run, in order of time
};

/// The true contacts of one motor, and whether the line or a running drive feeds the motor.
struct Contacts {
    bool drive_side = false, line_side = false, fed = false;
    friend bool operator==(const Contacts&, const Contacts&) = default;
};

/// Makes the Figures from contacts, level and energy.
class FigureKeeper {
  public:
    FigureKeeper() = default;
    explicit FigureKeeper(const config::Station& station, std::int64_t start_ms, double level_m);

    /// Call in every step.
    void level(double level_m) {
        if (level_m > figures_.level_max_m) figures_.level_max_m = level_m;
        if (level_m < figures_.level_min_m) figures_.level_min_m = level_m;
    }

    /// Prices the energy that the station drew since the last call. Call when the station's clock has passed
    /// `next_price_ms()`.
    void energy(std::int64_t now_ms, double energy_j);
    std::int64_t next_price_ms() const { return next_price_ms_; }

    /// Call when the contacts of a motor have changed. `at_ms` is the instant and may have fractions of a
    /// millisecond. `angle_deg` is the angle between drive and line at that instant.
    void contacts(std::size_t pump, Contacts now, double at_ms, double angle_deg);

    void closing(const Closing& one);

    /// The figures at `now_ms`. The figures include contacts that are still closed.
    Figures at(std::int64_t now_ms, double energy_j) const;

  private:
    struct Pump {
        Contacts contacts;
        double run_since_ms = 0, overlap_since_ms = 0;
        bool overlap_began_on_drive = false;
        double run_ms = 0;
        std::vector<double> starts_ms;  ///< starts of the last hour
    };

    double price_at(std::int64_t time_ms) const;
    /// The next full hour of local time.
    std::int64_t next_hour_ms(std::int64_t now_ms) const;

    Figures figures_;
    std::array<Pump, pumps_max> pumps_;
    std::vector<double> transfers_ms_;  ///< transfers of the last hour
    std::array<double, 24> price_per_joule_{};
    bool has_tariff_ = false;
    double energy_priced_j_ = 0;
    std::int64_t priced_to_ms_ = 0;
    std::int64_t utc_offset_ms_ = 0;  ///< local time less station time
    std::int64_t next_price_ms_ = std::numeric_limits<std::int64_t>::max();
};

}  // namespace freshet::plant
