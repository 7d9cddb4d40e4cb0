// Advice to registers and back.
// One reason to change: see the header.
#include "hal/modbus/advice_map.hpp"

#include <cstring>
#include <limits>

namespace freshet::modbus {
namespace {

constexpr auto order = config::WordOrder::abcd;

constexpr std::uint16_t address(const AdviceRegister& at) {
    return at.address;
}

void put(AdviceImage& image, const AdviceRegister& at, std::uint64_t raw) {
    put_words(raw, at.words(), order, image.data() + at.address);
}

void put_number(AdviceImage& image, const AdviceRegister& at, double number) {
    put(image, at, raw_of(number / at.scale, at.type));
}

/// Pumps count from 1 in the registers; 0 is none.
std::uint16_t pump_number(std::uint8_t pump) {
    return pump == core::no_pump ? std::uint16_t{0} : static_cast<std::uint16_t>(pump + 1U);
}

template <class Enumeration>
std::uint16_t code(Enumeration value) {
    return static_cast<std::uint16_t>(value);
}

constexpr const AdviceRegister& scan_first = advice_register("advice.scan_first");
constexpr const AdviceRegister& scan_last = advice_register("advice.scan_last");
constexpr std::array scan_counters = {address(advice_register("identity.scan_first")),
                                      address(advice_register("identity.scan_last")),
                                      address(scan_first),
                                      address(scan_last),
                                      address(advice_register("pumps.scan_first")),
                                      address(advice_register("pumps.scan_last")),
                                      address(advice_register("floats.scan_first")),
                                      address(advice_register("floats.scan_last")),
                                      address(advice_register("alarms.scan_first")),
                                      address(advice_register("alarms.scan_last")),
                                      address(advice_register("transmitters.scan_first")),
                                      address(advice_register("transmitters.scan_last"))};

/// Registers of one pump follow each other; all pumps' alike.
constexpr std::uint16_t pump_orders_at = advice_register("pump_1.drive_side_close").address;
constexpr std::uint16_t pump_orders_stride =
    advice_register("pump_2.drive_side_close").address - pump_orders_at;
constexpr std::uint16_t pump_state_at = advice_register("pump_1.state").address - pump_orders_at;
constexpr std::uint16_t pump_details_at = advice_register("pump_1.alarms").address;
constexpr std::uint16_t pump_details_stride = advice_register("pump_2.alarms").address - pump_details_at;
constexpr std::uint16_t pump_run_time_at = advice_register("pump_1.run_time").address - pump_details_at;
constexpr std::uint16_t pump_starts_at = advice_register("pump_1.starts").address - pump_details_at;
constexpr std::uint16_t pump_line_starts_at = advice_register("pump_1.line_starts").address - pump_details_at;
constexpr std::uint16_t pump_last_hour_at =
    advice_register("pump_1.starts_last_hour").address - pump_details_at;

/// Marks of one pump's alarms: shelved, out of service, suppressed, first out.
constexpr std::uint16_t pump_marks_at = advice_register("pump_1.alarms_shelved").address;
constexpr std::uint16_t pump_marks_stride = advice_register("pump_2.alarms_shelved").address - pump_marks_at;
constexpr std::uint16_t out_of_service_at =
    advice_register("pump_1.alarms_out_of_service").address - pump_marks_at;
constexpr std::uint16_t suppressed_at = advice_register("pump_1.alarms_suppressed").address - pump_marks_at;
constexpr std::uint16_t first_out_at = advice_register("pump_1.alarms_first_out").address - pump_marks_at;

struct NumberPair {
    const AdviceRegister& scaled;
    const AdviceRegister& mirror;
};
constexpr std::array<NumberPair, 7> number_pairs{{
    {advice_register("drive.speed"), advice_register("float.drive.speed")},
    {advice_register("measured"), advice_register("float.measured")},
    {advice_register("setpoint"), advice_register("float.setpoint")},
    {advice_register("demand"), advice_register("float.demand")},
    {advice_register("minimum_flow_speed"), advice_register("float.minimum_flow_speed")},
    {advice_register("inflow"), advice_register("float.inflow")},
    {advice_register("pumped"), advice_register("float.pumped")},
}};

void encode_transmitters(AdviceImage& image, const core::Advice& advice) {
    static_assert(core::transmitters_max == 2, "the registers below");
    put(image, advice_register("transmitter_1.quality"), code(advice.transmitters[0].quality));
    put(image, advice_register("transmitter_1.cause"), code(advice.transmitters[0].cause));
    put(image, advice_register("transmitter_2.quality"), code(advice.transmitters[1].quality));
    put(image, advice_register("transmitter_2.cause"), code(advice.transmitters[1].cause));
}

/// A reader of one block, by the register's place in the whole map.
class BlockReader {
  public:
    BlockReader(const AdviceBlock& block, std::span<const std::uint16_t> registers)
        : first_(block.address), registers_(registers) {}

    std::uint64_t raw(const AdviceRegister& at) const {
        return get_words(registers_.data() + (at.address - first_), at.words(), order);
    }
    std::uint16_t word(std::size_t at) const { return registers_[at - first_]; }
    double number(const AdviceRegister& at) const {
        const Number number = number_of(raw(at), at.type);
        return number.known ? number.value * at.scale : std::numeric_limits<double>::quiet_NaN();
    }

    /// A code of an enumeration; what lies past its last becomes `otherwise`.
    template <class Enumeration>
    Enumeration enumeration(std::uint64_t value, Enumeration last, Enumeration otherwise) const {
        return value <= static_cast<std::uint64_t>(last) ? static_cast<Enumeration>(value) : otherwise;
    }

  private:
    std::size_t first_;
    std::span<const std::uint16_t> registers_;
};

/// The last real value of an enumeration that ends in `count`.
template <class Enumeration>
constexpr Enumeration last_before(Enumeration count) {
    return static_cast<Enumeration>(static_cast<unsigned>(count) - 1U);
}

std::uint8_t pump_index(std::uint64_t number) {
    return number >= 1 && number <= core::pumps_max ? static_cast<std::uint8_t>(number - 1) : core::no_pump;
}

}  // namespace

AdviceEncoder::AdviceEncoder(std::uint8_t pump_count, std::int32_t scan_ms, std::int32_t expiry_ms)
    : pump_count_(std::min<std::uint8_t>(pump_count, core::pumps_max)) {
    for (const AdviceBlock& block : advice_blocks) {
        std::fill_n(image_.begin() + block.address, block.count, std::uint16_t{0});
    }
    put(image_, advice_register("map_id"), map_id);
    put(image_, advice_register("map_version_major"), map_version_major);
    put(image_, advice_register("map_version_minor"), map_version_minor);
    put(image_, advice_register("test_integer"), test_pattern);
    put(image_, advice_register("test_float"), std::bit_cast<std::uint32_t>(test_number));
    put(image_, advice_register("pump_count"), pump_count_);
    put(image_, advice_register("scan_period"), static_cast<std::uint16_t>(scan_ms));
    put(image_, advice_register("expiry"), static_cast<std::uint16_t>(std::clamp(expiry_ms, 0, 0xFFFE)));
    put(image_, advice_register("service"), code(core::Service::waiting));
    put(image_, advice_register("measured.quality"), code(core::Quality::bad));
    put(image_, advice_register("measured.cause"), code(core::Cause::never_read));
    put(image_, advice_register("measured.age"), not_available(config::WordType::u32));
    encode_transmitters(image_, core::Advice{});
    put(image_, advice_register("station_time"), not_available(config::WordType::u64));
    put(image_, advice_register("next.countdown"), not_available(config::WordType::s32));
    for (const NumberPair& pair : number_pairs) {
        put(image_, pair.scaled, not_available(pair.scaled.type));
        put(image_, pair.mirror, not_available(pair.mirror.type));
    }
}

void AdviceEncoder::encode_numbers(const core::Advice& advice) {
    const std::array<double, 7> numbers = {advice.speed_hz,  advice.measured_m,      advice.setpoint_m,
                                           advice.demand_hz, advice.minimum_flow_hz, advice.inflow_m3s,
                                           advice.pumped_m3s};
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        const auto bits = std::bit_cast<std::uint64_t>(numbers[i]);
        if (bits == last_numbers_[i] && !fresh_) continue;
        last_numbers_[i] = bits;
        put_number(image_, number_pairs[i].scaled, numbers[i]);
        put_number(image_, number_pairs[i].mirror, numbers[i]);
    }
}

void AdviceEncoder::encode_pumps(const core::Advice& advice) {
    for (std::size_t pump = 0; pump < pump_count_; ++pump) {
        std::uint16_t* orders = image_.data() + pump_orders_at + pump * pump_orders_stride;
        orders[0] = advice.pumps[pump].drive_side_close ? 1 : 0;
        orders[1] = advice.pumps[pump].line_side_close ? 1 : 0;
        orders[pump_state_at] = code(advice.pumps[pump].state);
        std::uint16_t* details = image_.data() + pump_details_at + pump * pump_details_stride;
        details[0] = advice.pump_alarms[pump];
        details[1] = advice.pump_alarms_unacknowledged[pump];
        const core::PumpFigures& figures = advice.figures[pump];
        core::PumpFigures& last = last_figures_[pump];
        details[pump_last_hour_at] = figures.starts_last_hour;
        if (figures.run_ms == last.run_ms && figures.starts == last.starts &&
            figures.line_starts == last.line_starts && !fresh_) {
            continue;
        }
        last = figures;
        put_words(static_cast<std::uint64_t>(figures.run_ms / 60000), 2, order, details + pump_run_time_at);
        put_words(figures.starts, 2, order, details + pump_starts_at);
        put_words(figures.line_starts, 2, order, details + pump_line_starts_at);
    }
}

void AdviceEncoder::encode_marks(const core::Advice& advice) {
    const core::AlarmMarks& station = advice.station_alarm_marks;
    put(image_, advice_register("station_alarms_shelved"), station.shelved);
    put(image_, advice_register("station_alarms_out_of_service"), station.out_of_service);
    put(image_, advice_register("station_alarms_suppressed"), station.suppressed);
    put(image_, advice_register("station_alarms_first_out"), station.first_out);
    // A pump has no more alarms than a register has bits.
    static_assert(static_cast<unsigned>(core::PumpAlarm::count) <= 16);
    for (std::size_t pump = 0; pump < pump_count_; ++pump) {
        const core::AlarmMarks& marks = advice.pump_alarm_marks[pump];
        std::uint16_t* const words = image_.data() + pump_marks_at + pump * pump_marks_stride;
        words[0] = static_cast<std::uint16_t>(marks.shelved);
        words[out_of_service_at] = static_cast<std::uint16_t>(marks.out_of_service);
        words[suppressed_at] = static_cast<std::uint16_t>(marks.suppressed);
        words[first_out_at] = static_cast<std::uint16_t>(marks.first_out);
    }
}

const AdviceImage& AdviceEncoder::encode(const core::Advice& advice, std::int64_t measured_read_ms) {
    for (const std::uint16_t at : scan_counters) put_words(advice.scan_count, 2, order, image_.data() + at);
    put(image_, advice_register("station_time"), static_cast<std::uint64_t>(advice.time_ms));
    put(image_, advice_register("heartbeat"), advice.scan_count & 0xFFFFU);
    put(image_, advice_register("service"), code(advice.service));
    put(image_, advice_register("drive.run"), advice.drive_run ? 1 : 0);
    put(image_, advice_register("drive.synchronise"), advice.synchronise ? 1 : 0);
    put(image_, advice_register("drive.output_close"), advice.output_close ? 1 : 0);
    put(image_, advice_register("drive.pump"), pump_number(advice.drive_pump));
    put(image_, advice_register("pumps_on_line"), advice.pumps_on_line);
    put(image_, advice_register("sequence"), code(advice.sequence));
    put(image_, advice_register("step"), code(advice.step));
    put(image_, advice_register("sequence.pump"), pump_number(advice.sequence_pump));
    put(image_, advice_register("next.action"), code(advice.next.intention));
    put(image_, advice_register("next.pump"), pump_number(advice.next.pump));
    put(image_, advice_register("next.countdown"),
        advice.next.countdown_ms < 0 ? not_available(config::WordType::s32)
                                     : static_cast<std::uint32_t>(advice.next.countdown_ms));
    put(image_, advice_register("next.reason"), code(advice.next.reason));
    put(image_, advice_register("measured.quality"), code(advice.measured_quality));
    put(image_, advice_register("measured.cause"), code(advice.measured_cause));
    const std::int64_t age_ms = advice.time_ms - measured_read_ms;
    put(image_, advice_register("measured.age"),
        measured_read_ms == core::never_ms || age_ms < 0 ||
                age_ms >= std::numeric_limits<std::uint32_t>::max()
            ? not_available(config::WordType::u32)
            : static_cast<std::uint64_t>(age_ms));
    put(image_, advice_register("station_alarms"), advice.station_alarms);
    put(image_, advice_register("station_alarms_unacknowledged"), advice.station_alarms_unacknowledged);
    encode_numbers(advice);
    encode_pumps(advice);
    encode_marks(advice);
    encode_transmitters(image_, advice);
    fresh_ = false;
    return image_;
}

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
    const auto flag = [&](const AdviceRegister& at) { return reader.raw(at) == 1; };
    read.scan_count = static_cast<std::uint32_t>(reader.raw(scan_first));
    read.whole = read.scan_count != 0 && read.scan_count == reader.raw(scan_last);
    const Number time = number_of(reader.raw(advice_register("station_time")), config::WordType::u64);
    if (time.known) read.time_ms = static_cast<std::int64_t>(time.value);
    read.expiry_ms = static_cast<std::int32_t>(reader.raw(advice_register("expiry")));
    read.service = reader.enumeration(reader.raw(advice_register("service")), core::Service::waiting,
                                      core::Service::waiting);
    read.drive_run = flag(advice_register("drive.run"));
    read.synchronise = flag(advice_register("drive.synchronise"));
    read.output_close = flag(advice_register("drive.output_close"));
    const Number speed = number_of(reader.raw(advice_register("drive.speed")), config::WordType::u16);
    read.speed_hz = speed.known ? speed.value * advice_register("drive.speed").scale : 0;
    read.drive_pump = pump_index(reader.raw(advice_register("drive.pump")));
    for (std::size_t pump = 0; pump < core::pumps_max; ++pump) {
        const std::size_t at = pump_orders_at + pump * pump_orders_stride;
        read.pumps[pump] = {reader.word(at) == 1, reader.word(at + 1) == 1};
        read.states[pump] = reader.enumeration(reader.word(at + pump_state_at), core::PumpState::unavailable,
                                               core::PumpState::unavailable);
    }
    using core::Intention, core::Reason, core::Sequence, core::Step;
    read.sequence = reader.enumeration(reader.raw(advice_register("sequence")), last_before(Sequence::count),
                                       Sequence::none);
    read.step = reader.enumeration(reader.raw(advice_register("step")), last_before(Step::count), Step::idle);
    read.next.intention = reader.enumeration(reader.raw(advice_register("next.action")),
                                             Intention::line_start, Intention::none);
    read.next.pump = pump_index(reader.raw(advice_register("next.pump")));
    const Number countdown = number_of(reader.raw(advice_register("next.countdown")), config::WordType::s32);
    read.next.countdown_ms = countdown.known ? static_cast<std::int32_t>(countdown.value) : -1;
    read.next.reason = reader.enumeration(reader.raw(advice_register("next.reason")),
                                          last_before(Reason::count), Reason::none);
    read.measured_m = reader.number(advice_register("measured"));
    read.setpoint_m = reader.number(advice_register("setpoint"));
    read.inflow_m3s = reader.number(advice_register("inflow"));
    read.measured_quality = reader.enumeration(reader.raw(advice_register("measured.quality")),
                                               core::Quality::bad, core::Quality::bad);
    read.measured_cause = reader.enumeration(reader.raw(advice_register("measured.cause")),
                                             core::Cause::substituted, core::Cause::undecodable);
    return read;
}

Validity AdviceWatch::judge(const AdviceRead& read, std::int64_t now_ms) {
    if (read.scan_count == 0) return seen_ ? judge_silence(now_ms) : Validity::none_yet;
    if (!read.whole) return judge_silence(now_ms) == Validity::expired ? Validity::expired : Validity::torn;
    expiry_ms_ = read.expiry_ms;
    if (!seen_) {
        // A counter seen once may belong to a controller that hangs: its own time says how old it is. A time
        // that is not of this clock proves nothing, so the advice waits for its counter to move.
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
