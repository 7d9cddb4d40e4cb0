// The rows of a run of any length in a bounded memory. Values go into time buckets. Pump states go into
// run lengths.
// One reason to change: the values in the report's plots.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <vector>

#include "controller/core/advice.hpp"
#include "controller/record/trend_row.hpp"

namespace freshet::record {

/// Smallest, largest and mean of the known values of one series in one bucket.
struct Range {
    float min = std::numeric_limits<float>::infinity();
    float max = -std::numeric_limits<float>::infinity();
    double sum = 0;
    std::uint32_t count = 0;

    void add(double value);
    void add(const Range& other);
    bool known() const { return count != 0; }
    double mean() const { return sum / count; }
};

enum class Series : std::uint8_t {
    rain,
    inflow,
    inflow_observed,
    level,
    measured,
    pumped,
    overflow,
    speed_reference,
    drive_frequency,
    power,
    count
};
inline constexpr std::size_t series_count = static_cast<std::size_t>(Series::count);

struct Bucket {
    std::array<Range, series_count> series;
    const Range& of(Series which) const { return series[static_cast<std::size_t>(which)]; }
};

/// A pump's state from `from_ms` until the `from_ms` of the next entry.
struct LanePart {
    std::int64_t from_ms = 0;
    core::PumpState state = core::PumpState::off;
};

class PlotData {
  public:
    /// Adds a row. Rows must come in the order of their time. When `buckets_max` buckets are full, this
    /// function merges pairs of buckets. Each bucket is then twice as wide.
    void add(const TrendRow& row, std::uint8_t pump_count);

    bool empty() const { return buckets_.empty(); }
    std::int64_t begin_ms() const { return begin_ms_; }
    std::int64_t end_ms() const { return last_ms_; }
    std::int64_t bucket_ms() const { return bucket_ms_; }
    const std::vector<Bucket>& buckets() const { return buckets_; }
    const std::vector<LanePart>& lane(std::size_t pump) const { return lanes_[pump]; }

    static constexpr std::size_t buckets_max = 2048;

  private:
    void halve();

    std::int64_t begin_ms_ = 0, last_ms_ = 0, bucket_ms_ = 1000;
    std::vector<Bucket> buckets_;
    std::array<std::vector<LanePart>, core::pumps_max> lanes_;
};

}  // namespace freshet::record
