// Registers back to advice for a reader, and the rule by which advice becomes void.
// One reason to change: how a follower of the advice understands and judges a read.
#pragma once

#include <array>
#include <cstdint>
#include <span>

#include "controller/core/advice.hpp"

namespace freshet::modbus {

/// The content of the identity block.
struct AdviceIdentity {
    bool ours = false;  ///< map id, major version and test pattern equal those of this program
    std::uint16_t version_major = 0, version_minor = 0;
    std::uint8_t pump_count = 0;
    std::int32_t scan_ms = 0;
};

/// `registers` is the identity block.
AdviceIdentity decode_identity(std::span<const std::uint16_t> registers);

/// The content of the advice block. A member that core::Advice also has bears the same name.
struct AdviceRead {
    bool whole = false;  ///< the scan counters agree and a scan has been made
    std::uint32_t scan_count = 0;
    std::int64_t time_ms = core::never_ms;
    std::int32_t expiry_ms = 0;
    core::Service service = core::Service::waiting;
    bool drive_run = false, synchronise = false, output_close = false;
    double speed_hz = 0;
    std::uint8_t drive_pump = core::no_pump;
    std::array<core::PumpAdvice, core::pumps_max> pumps{};
    core::Sequence sequence = core::Sequence::none;
    core::Step step = core::Step::idle;
    core::NextAction next;                                  ///< countdown negative: not known
    double measured_m = 0, setpoint_m = 0, inflow_m3s = 0;  ///< NaN: not available
    core::Quality measured_quality = core::Quality::bad;
    core::Cause measured_cause = core::Cause::never_read;
};

/// `registers` is the advice block.
AdviceRead decode_advice(std::span<const std::uint16_t> registers);

enum class Validity : std::uint8_t { valid, none_yet, torn, expired };

/// Judges advice by the reader's own clock. Advice is void when its scan counter did not change for longer
/// than its expiry. The watch does not compare absolute times, so that a reader with another clock comes to
/// the same judgement.
class AdviceWatch {
  public:
    Validity judge(const AdviceRead& read, std::int64_t now_ms);
    /// Call when no read was possible. The last advice continues to age.
    Validity judge_silence(std::int64_t now_ms) const;

  private:
    bool seen_ = false;
    std::uint32_t scan_count_ = 0;
    std::int64_t changed_ms_ = 0;
    std::int32_t expiry_ms_ = 0;
};

}  // namespace freshet::modbus
