// Water that a header's air vessel and pipes hold; see the header for the equations and their source.
//
// One reason to change: how the header stores water under pressure.
#include "sim_plant/physics/air_vessel.hpp"

#include "config/hydraulics/air_vessel.hpp"
#include "sim_plant/physics/surge.hpp"

namespace freshet::plant {
namespace {

/// Even a header without a vessel stretches a little. Without this stretch, a header from which nobody draws
/// would have no defined pressure.
constexpr double elastic_min_m2 = 1e-4;

}  // namespace

HeaderStorage::HeaderStorage(const config::Station& station)
    : vessel_(station.air_vessel),
      atmosphere_head_m_(config::atmosphere_head_m(station.fluid)),
      elastic_m2_(elastic_min_m2 + elastic_storage_m2(station.main)) {}

HeaderStorage::Reading HeaderStorage::at(double pressure_head_m) const {
    Reading reading{elastic_m2_ * pressure_head_m, elastic_m2_};
    if (vessel_.air_volume_m3 > 0 && pressure_head_m > vessel_.precharge_head_m) {
        const double air =
            vessel_.air_volume_m3 * config::air_share(vessel_, atmosphere_head_m_, pressure_head_m);
        reading.water_m3 += vessel_.air_volume_m3 - air;
        reading.slope_m2 += 1 / vessel_.polytropic_exponent * air / (pressure_head_m + atmosphere_head_m_);
    }
    return reading;
}

}  // namespace freshet::plant
