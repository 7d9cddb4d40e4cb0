// Gathers rows into buckets. The buckets double their width whenever the rows reach the bound of the memory.
#include "controller/record/plot_data.hpp"

#include <algorithm>
#include <cmath>

namespace freshet::record {
namespace {

constexpr std::array<double TrendRow::*, series_count> sources{
    &TrendRow::rain_mm_h,    &TrendRow::inflow_m3s,         &TrendRow::inflow_observed_m3s,
    &TrendRow::level_m,      &TrendRow::measured_m,         &TrendRow::pumped_m3s,
    &TrendRow::overflow_m3s, &TrendRow::speed_reference_hz, &TrendRow::drive_frequency_hz,
    &TrendRow::power_kw};

}  // namespace

void Range::add(double value) {
    if (!std::isfinite(value)) return;
    min = std::min(min, static_cast<float>(value));
    max = std::max(max, static_cast<float>(value));
    sum += value;
    ++count;
}

void Range::add(const Range& other) {
    min = std::min(min, other.min);
    max = std::max(max, other.max);
    sum += other.sum;
    count += other.count;
}

void PlotData::halve() {
    for (std::size_t i = 0; i < buckets_.size(); i += 2) {
        Bucket merged = buckets_[i];
        if (i + 1 < buckets_.size()) {
            for (std::size_t s = 0; s < series_count; ++s) merged.series[s].add(buckets_[i + 1].series[s]);
        }
        buckets_[i / 2] = merged;
    }
    buckets_.resize((buckets_.size() + 1) / 2);
    bucket_ms_ *= 2;
}

void PlotData::add(const TrendRow& row, std::uint8_t pump_count) {
    if (buckets_.empty()) begin_ms_ = row.time_ms;
    last_ms_ = std::max(row.time_ms, begin_ms_);
    auto index = static_cast<std::size_t>((last_ms_ - begin_ms_) / bucket_ms_);
    while (index >= buckets_max) {
        halve();
        index = static_cast<std::size_t>((last_ms_ - begin_ms_) / bucket_ms_);
    }
    if (index >= buckets_.size()) buckets_.resize(index + 1);
    for (std::size_t s = 0; s < series_count; ++s) buckets_[index].series[s].add(row.*sources[s]);
    for (std::size_t pump = 0; pump < std::min<std::size_t>(pump_count, core::pumps_max); ++pump) {
        std::vector<LanePart>& lane = lanes_[pump];
        if (lane.empty() || lane.back().state != row.pump_state[pump]) {
            lane.push_back({last_ms_, row.pump_state[pump]});
        }
    }
}

}  // namespace freshet::record
