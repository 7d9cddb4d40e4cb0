// Advice on the way to the station in one process: through the advice registers, as over Modbus.
// One reason to change: how the bench passes advice.
#pragma once

#include <array>
#include <bit>
#include <cstdint>
#include <type_traits>

#include "controller/core/advice.hpp"
#include "hal/modbus/advice_encoder.hpp"
#include "sim_plant/bench/orders_from_advice.hpp"

namespace freshet::bench {

/// Encodes each scan's advice into registers and decodes the orders from the registers. A station can follow
/// some fields of the advice only. While these fields do not change, the registers need not be written again.
class AdviceLink {
  public:
    AdviceLink(std::uint8_t pump_count, std::int32_t scan_ms) : encoder_(pump_count, scan_ms, expiry_ms) {}

    const plant::Orders& pass(const core::Advice& advice) {
        const Switches switches = switches_of(advice);
        if (switches != switches_) {
            renew(advice);
            switches_ = switches;
        } else if (advice.speed_hz != speed_hz_ && !switches.waiting) {
            renew_speed(advice.speed_hz);
        }
        return orders_;
    }

  private:
    /// Advice never expires here, because the station follows each scan's advice at once.
    static constexpr std::int32_t expiry_ms = 5000;

    /// Every field that a station can follow, except for the speed. The advice of the pumps is compared as
    /// words, together with the states of the pumps.
    struct Switches {
        std::array<std::uint64_t, 3> pumps{};
        bool drive_run = false, synchronise = false, output_close = false;
        /// While the advice gives no orders the old orders remain, so the end of this time is a change, too.
        bool waiting = false;
        bool operator==(const Switches&) const = default;
    };
    static Switches switches_of(const core::Advice& advice) {
        static_assert(std::has_unique_object_representations_v<core::PumpAdvice>);
        return {std::bit_cast<std::array<std::uint64_t, 3>>(advice.pumps), advice.drive_run,
                advice.synchronise, advice.output_close, advice.service == core::Service::waiting};
    }

    void renew(const core::Advice& advice);
    /// The speed reference alone, which changes far more often than the other fields.
    void renew_speed(double speed_hz);

    modbus::AdviceEncoder encoder_;
    plant::Orders orders_;
    Switches switches_;
    double speed_hz_ = 0;
};

}  // namespace freshet::bench
