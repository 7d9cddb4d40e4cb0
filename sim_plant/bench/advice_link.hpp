// Advice on the way to the station in one process: through the advice registers, as over Modbus.
// One reason to change: how the bench passes advice.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"
#include "hal/modbus/advice_encoder.hpp"
#include "sim_plant/bench/orders_from_advice.hpp"

namespace freshet::bench {

/// Encodes each scan's advice into registers and decodes the orders from the registers. A station can follow
/// some fields of the advice only. While these fields do not change, the registers need not be written again.
class AdviceLink {
  public:
    AdviceLink(std::uint8_t pump_count, std::int32_t scan_ms)
        : encoder_(pump_count, scan_ms, expiry_ms), pump_count_(pump_count) {}

    const plant::Orders& pass(const core::Advice& advice) {
        const std::uint64_t switches = switches_of(advice);
        if (switches != switches_) {
            renew(advice, switches);
        } else if (advice.speed_hz != speed_hz_ && switches != waiting) {
            renew_speed(advice.speed_hz);
        }
        return orders_;
    }

  private:
    /// Advice never expires here, because the station follows each scan's advice at once.
    static constexpr std::int32_t expiry_ms = 5000;
    static constexpr std::uint64_t waiting = std::uint64_t{1} << 63U;

    std::uint64_t switches_of(const core::Advice& advice) const {
        // While the advice gives no orders the old orders remain, so the end of this time is a change, too.
        if (advice.service == core::Service::waiting) return waiting;
        std::uint64_t bits = 1U | (advice.drive_run ? 2U : 0U) | (advice.synchronise ? 4U : 0U) |
                             (advice.output_close ? 8U : 0U);
        for (std::size_t pump = 0; pump < pump_count_; ++pump) {
            const core::PumpAdvice& own = advice.pumps[pump];
            bits |=
                static_cast<std::uint64_t>((own.drive_side_close ? 1U : 0U) | (own.line_side_close ? 2U : 0U))
                << (4 + 2 * pump);
        }
        return bits;
    }

    void renew(const core::Advice& advice, std::uint64_t switches);
    /// The speed reference alone, which changes far more often than the other fields.
    void renew_speed(double speed_hz);

    modbus::AdviceEncoder encoder_;
    std::uint8_t pump_count_;
    plant::Orders orders_;
    std::uint64_t switches_ = 0;  ///< not 0 after the first advice
    double speed_hz_ = 0;
};

}  // namespace freshet::bench
