// The volume balance of the store: the pumped flow, and the inflow (or the demand of a tank) that explains
// the measured value.
// One reason to change: how the inflow is found from the balance.
#pragma once

#include "controller/core/advice.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/inflow_estimate.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"

namespace freshet::core {

/// The noise of the measured value, found from the readings themselves: the second difference of three
/// readings has six times the variance of one, and the water moves the second difference little.
class MeasuredNoise {
  public:
    /// Takes one mean value of a second, m. `least_m` is the least noise that is believed, m.
    void take(double value_m, double least_m) noexcept;
    /// Forgets the readings, but not the noise. Call after a gap.
    void interrupt() noexcept { values_ = 0; }
    /// Standard deviation of a reading, m; zero before the third reading.
    double deviation_m() const noexcept;

  private:
    double last_m_ = 0, before_last_m_ = 0, variance_m2_ = 0;
    double weight_ = 0;  ///< readings that the variance is the mean of, up to a memory
    int values_ = 0;
};

/// No speed of a drive, for a flow that is not steady. See Balance::steady_hz.
inline constexpr double not_steady_hz = -1;

/// The estimate of the inflow, and the sums since the last balance.
struct Balance {
    InflowEstimate estimate;
    MeasuredNoise noise;
    double value_sum_m = 0;            ///< over the scans with a good value
    int samples = 0;                   ///< scans in the sum
    double elapsed_s = 0;              ///< since the last balance
    double gap_s = 0;                  ///< since the last good value
    double pumped_m3s = 0;             ///< flow of the pumps by their curves, with the inertia of the main
    double late_s = 0;                 ///< for this time a change of pumps still shows
    int running = 0;                   ///< pumps that ran in the last balance
    double seen_m3s = 0;               ///< pumped flow that the readings show, which are late
    double steady_hz = not_steady_hz;  ///< speed at which pumped_m3s is steady, zero without a drive pump
    double last_volume_m3 = 0;         ///< of the last mean value
    double memory = 0;                 ///< of the estimate's longest line, in samples
    double outflow_m3s = 0;            ///< of the pumps, and over the weir of a well; of the last balance
    bool float_called = false, float_stopped = false;  ///< in the last balance
    double taken_m3s = 0;                              ///< by the pumps, before a float stopped them
    std::int64_t called_ms = never_ms;                 ///< last balance in which a float called
    std::int64_t inflow_ms = never_ms;  ///< when `inflow_m3s` was last estimated from a good value
    /// Last estimated, also after the estimate is forgotten. When a float begins to call while no value is known,
    /// the inflow counts as at least what the pumps take. When a float stops the pumps, the inflow counts as at
    /// most half of what they took.
    double inflow_m3s = 0;
    double doubt_m3s = 0;   ///< standard deviation of `inflow_m3s`
    double flow_ratio = 1;  ///< flow meter over curves, averaged over minutes; 1 without a flow meter
};

/// The flows of the store in the last balance, for the witness of the balance. The outflow is known when every
/// contactor is read, and the speed of a drive that feeds a pump.
StoreFlows store_flows(const Balance& balance, const Picture& picture) noexcept;

/// True for five minutes after the inflow was last estimated.
bool inflow_is_fresh(const Balance& balance, std::int64_t now_ms) noexcept;

/// Adds one scan of `elapsed_s` seconds to the sums. Leaves out the value of a scan that is not good.
void add_to_balance(Balance& balance, const Sight& sight, double elapsed_s) noexcept;

/// Makes the balance, once a second, from the mean of the scans since the last balance. The mean is enough,
/// because the store moves slowly. The readings show a change of the pumped flow late, so that the balance counts
/// the flow as late. Otherwise each start would look like inflow for seconds, and each stop like less inflow.
/// Writes the pumped flow and the inflow into the advice, m3/s. The pumped
/// flow follows from the curves. A flow meter that is read corrects the curves by at most a tenth. Without a
/// good value the estimate keeps the last inflow for a minute. After that the inflow is not known.
void update_balance(Balance& balance, const Sight& sight, const FlowTable& flows, const Settings& settings,
                    Advice& advice) noexcept;

}  // namespace freshet::core
