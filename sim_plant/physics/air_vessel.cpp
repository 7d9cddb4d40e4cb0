// Water that a header's air vessel and pipes hold; see the header for the equations and their source.
//
// One reason to change: how the header stores water under pressure.
#include "sim_plant/physics/air_vessel.hpp"

#include <cmath>

#include "config/hydraulics/gravity.hpp"
#include "sim_plant/physics/surge.hpp"

namespace freshet::plant {
namespace {

/// Even a header without a vessel stretches a little. Without this stretch, a header from which nobody draws
/// would have no defined pressure.
constexpr double elastic_min_m2 = 1e-4;

}  // namespace

HeaderStorage::HeaderStorage(const config::Station& station)
    : air_volume_m3_(station.air_vessel.air_volume_m3),
      precharge_head_m_(station.air_vessel.precharge_head_m),
      atmosphere_head_m_(config::atmosphere_pa / (station.fluid.density_kgm3 * config::gravity_ms2)),
      exponent_(1 / station.air_vessel.polytropic_exponent),
      elastic_m2_(elastic_min_m2 + elastic_storage_m2(station.main)) {}

HeaderStorage::Reading HeaderStorage::at(double pressure_head_m) const {
    Reading reading{elastic_m2_ * pressure_head_m, elastic_m2_};
    if (air_volume_m3_ > 0 && pressure_head_m > precharge_head_m_) {
        const double absolute = pressure_head_m + atmosphere_head_m_;
        const double air =
            air_volume_m3_ * std::pow((precharge_head_m_ + atmosphere_head_m_) / absolute, exponent_);
        reading.water_m3 += air_volume_m3_ - air;
        reading.slope_m2 += exponent_ * air / absolute;
    }
    return reading;
}

}  // namespace freshet::plant
