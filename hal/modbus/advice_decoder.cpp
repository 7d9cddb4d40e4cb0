// Decodes blocks of the advice map and judges the age of advice.
// One reason to change: see the header.
#include "hal/modbus/advice_decoder.hpp"

#include <bit>
#include <cstddef>
#include <limits>

#include "controller/words/reasons.hpp"
#include "controller/words/sequences.hpp"
#include "controller/words/states.hpp"
#include "hal/modbus/advice_map.hpp"
#include "hal/modbus/word_codec.hpp"

namespace freshet::modbus {
namespace {

/// A reader of one block, by the register's place in the whole map.
class BlockReader {
  public:
    BlockReader(const AdviceBlock& block, std::span<const std::uint16_t> registers)
        : first_(block.address), registers_(registers) {}

    std::uint64_t raw(const AdviceRegister& at) const {
        return get_words(registers_.data() + (at.address - first_), at.words(), advice_word_order);
    }
    bool flag(const AdviceRegister& at) const { return raw(at) == 1; }
    std::uint16_t word(std::size_t at) const { return registers_[at - first_]; }
    Number raw_number(const AdviceRegister& at) const { return number_of(raw(at), at.type); }
    double number(const AdviceRegister& at) const {
        const Number number = raw_number(at);
        return number.known ? number.value * at.scale : std::numeric_limits<double>::quiet_NaN();
    }

  private:
    std::size_t first_;
    std::span<const std::uint16_t> registers_;
};

/// A code that the words table knows. Any other number becomes `otherwise`.
template <class Table, class Code>
Code code_in(const Table& words, std::uint64_t raw, Code otherwise) {
    return raw < words.size() ? words[raw].code : otherwise;
}

std::uint8_t pump_index(std::uint64_t number) {
    return number >= 1 && number <= core::pumps_max ? static_cast<std::uint8_t>(number - 1) : core::no_pump;
}

void read_drive(const BlockReader& reader, AdviceRead& read) {
    read.drive_run = reader.flag(advice_register("drive.run"));
    read.synchronise = reader.flag(advice_register("drive.synchronise"));
    read.output_close = reader.flag(advice_register("drive.output_close"));
    constexpr const AdviceRegister& speed_at = advice_register("drive.speed");
    const Number speed = reader.raw_number(speed_at);
    read.speed_hz = speed.known ? speed.value * speed_at.scale : 0;
    read.drive_pump = pump_index(reader.raw(advice_register("drive.pump")));
}

void read_pumps(const BlockReader& reader, AdviceRead& read) {
    constexpr PumpRegisters drive_side = pump_registers("drive_side_close");
    constexpr PumpRegisters line_side = pump_registers("line_side_close");
    constexpr PumpRegisters state = pump_registers("state");
    for (std::size_t pump = 0; pump < core::pumps_max; ++pump) {
        read.pumps[pump] = {
            reader.word(drive_side.of(pump)) == 1, reader.word(line_side.of(pump)) == 1,
            code_in(words::pump_states, reader.word(state.of(pump)), core::PumpState::unavailable)};
    }
}

void read_sequence(const BlockReader& reader, AdviceRead& read) {
    read.sequence = code_in(words::sequences, reader.raw(advice_register("sequence")), core::Sequence::none);
    read.step = code_in(words::steps, reader.raw(advice_register("step")), core::Step::idle);
    read.next.intention =
        code_in(words::intentions, reader.raw(advice_register("next.action")), core::Intention::none);
    read.next.pump = pump_index(reader.raw(advice_register("next.pump")));
    const Number countdown = reader.raw_number(advice_register("next.countdown"));
    read.next.countdown_ms = countdown.known ? static_cast<std::int32_t>(countdown.value) : -1;
    read.next.reason =
        code_in(words::reasons, reader.raw(advice_register("next.reason")), core::Reason::none);
}

void read_measured(const BlockReader& reader, AdviceRead& read) {
    read.measured_m = reader.number(advice_register("measured"));
    read.setpoint_m = reader.number(advice_register("setpoint"));
    read.inflow_m3s = reader.number(advice_register("inflow"));
    read.measured_quality =
        code_in(words::qualities, reader.raw(advice_register("measured.quality")), core::Quality::bad);
    read.measured_cause = code_in(words::quality_causes, reader.raw(advice_register("measured.cause")),
                                  core::Cause::undecodable);
}

}  // namespace

AdviceIdentity decode_identity(std::span<const std::uint16_t> registers) {
    constexpr const AdviceBlock& block = advice_block("identity");
    if (registers.size() < block.count) return {};
    const BlockReader reader(block, registers);
    AdviceIdentity identity;
    identity.version_major = static_cast<std::uint16_t>(reader.raw(advice_register("map_version_major")));
    identity.version_minor = static_cast<std::uint16_t>(reader.raw(advice_register("map_version_minor")));
    identity.pump_count = static_cast<std::uint8_t>(reader.raw(advice_register("pump_count")));
    identity.scan_ms = static_cast<std::int32_t>(reader.raw(advice_register("scan_period")));
    identity.ours = reader.raw(advice_register("map_id")) == map_id &&
                    identity.version_major == map_version_major &&
                    reader.raw(advice_register("test_integer")) == test_pattern &&
                    reader.raw(advice_register("test_float")) == std::bit_cast<std::uint32_t>(test_number);
    return identity;
}

AdviceRead decode_advice(std::span<const std::uint16_t> registers) {
    constexpr const AdviceBlock& block = advice_block("advice");
    AdviceRead read;
    if (registers.size() < block.count) return read;
    const BlockReader reader(block, registers);
    read.scan_count = static_cast<std::uint32_t>(reader.raw(advice_register("advice.scan_first")));
    read.whole = read.scan_count != 0 && read.scan_count == reader.raw(advice_register("advice.scan_last"));
    const Number time = reader.raw_number(advice_register("station_time"));
    if (time.known) read.time_ms = static_cast<std::int64_t>(time.value);
    read.expiry_ms = static_cast<std::int32_t>(reader.raw(advice_register("expiry")));
    read.service = code_in(words::services, reader.raw(advice_register("service")), core::Service::waiting);
    read_drive(reader, read);
    read_pumps(reader, read);
    read_sequence(reader, read);
    read_measured(reader, read);
    return read;
}

Validity AdviceWatch::judge(const AdviceRead& read, std::int64_t now_ms) {
    if (read.scan_count == 0) return seen_ ? judge_silence(now_ms) : Validity::none_yet;
    if (!read.whole) return judge_silence(now_ms) == Validity::expired ? Validity::expired : Validity::torn;
    expiry_ms_ = read.expiry_ms;
    if (!seen_) {
        // A counter that was seen once may belong to a controller that hangs. Therefore the advice's own time
        // gives its age. A time of another clock proves nothing, so the advice counts as expired until its
        // counter changes.
        const std::int64_t age_ms = now_ms - read.time_ms;
        const bool same_clock = age_ms >= 0 && age_ms <= expiry_ms_;
        changed_ms_ = same_clock ? read.time_ms : now_ms - expiry_ms_ - 1;
    } else if (read.scan_count != scan_count_) {
        changed_ms_ = now_ms;
    }
    seen_ = true;
    scan_count_ = read.scan_count;
    return judge_silence(now_ms);
}

Validity AdviceWatch::judge_silence(std::int64_t now_ms) const {
    if (!seen_) return Validity::none_yet;
    return now_ms - changed_ms_ > expiry_ms_ ? Validity::expired : Validity::valid;
}

}  // namespace freshet::modbus
