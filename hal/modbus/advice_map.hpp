// The advice map: one table of what is published, where, and in which form. Server, readers, printed map and
// tests all take it from here. One reason to change: a register that comes. What is added goes into a block
// of its own, as the counter that ends a block must not move, and raises the minor version, as does a new
// code of an enumeration; anything else raises the major version.
#pragma once

#include <algorithm>
#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

#include "config/field_map.hpp"
#include "controller/core/advice.hpp"
#include "hal/modbus/word_codec.hpp"

namespace freshet::modbus {

inline constexpr std::uint16_t map_id = 0x4652;
inline constexpr std::uint16_t map_version_major = 1;
inline constexpr std::uint16_t map_version_minor = 1;
inline constexpr std::uint32_t test_pattern = 0x01020304;
inline constexpr float test_number = 123456.0F;

/// A name of fixed capacity, so that a pump's registers can be named while compiling.
struct RegisterName {
    std::array<char, 40> text{};
    std::size_t length = 0;

    constexpr RegisterName& operator+=(std::string_view more) {
        for (const char letter : more) text[length++] = letter;
        return *this;
    }
    constexpr std::string_view view() const { return {text.data(), length}; }
};

/// One value of the map. All are read-only, high byte first, high word first.
struct AdviceRegister {
    RegisterName name;
    std::string_view block;
    std::uint16_t address = 0;  ///< zero-based protocol address
    config::WordType type = config::WordType::u16;
    double scale = 1;  ///< value = raw * scale
    std::string_view unit;
    std::string_view meaning;

    constexpr std::size_t words() const { return words_of(type); }
};

/// A run of registers without a hole; reads that leave it are refused.
struct AdviceBlock {
    std::string_view name;
    std::uint16_t address = 0;
    std::uint16_t count = 0;
};

namespace table {

/// Lays registers out one after another; with `rows` null it only counts them.
struct Layout {
    AdviceRegister* rows = nullptr;
    AdviceBlock* blocks = nullptr;
    std::size_t row_count = 0, block_count = 0;
    std::uint16_t next = 0;
    std::string_view block{};

    constexpr void begin(std::string_view name, std::uint16_t address) {
        block = name;
        next = address;
        if (blocks != nullptr) blocks[block_count] = {name, address, 0};
        ++block_count;
    }
    constexpr void add(RegisterName name, config::WordType type, double scale, std::string_view unit,
                       std::string_view meaning) {
        if (rows != nullptr) rows[row_count] = {name, block, next, type, scale, unit, meaning};
        next = static_cast<std::uint16_t>(next + words_of(type));
        if (blocks != nullptr) {
            AdviceBlock& now = blocks[block_count - 1];
            now.count = static_cast<std::uint16_t>(next - now.address);
        }
        ++row_count;
    }
    constexpr void add(std::string_view name, config::WordType type, double scale, std::string_view unit,
                       std::string_view meaning) {
        RegisterName made;
        made += name;
        add(made, type, scale, unit, meaning);
    }
    constexpr void add_for_pump(std::size_t pump, std::string_view name, config::WordType type, double scale,
                                std::string_view unit, std::string_view meaning) {
        RegisterName made;
        const char digit = static_cast<char>('1' + pump);
        made += "pump_";
        made += std::string_view(&digit, 1);
        made += ".";
        made += name;
        add(made, type, scale, unit, meaning);
    }
};

constexpr void lay_out(Layout& at) {
    using enum config::WordType;
    constexpr std::string_view first =
        "scan counter, first in the block; a read is whole only if it equals the last";
    constexpr std::string_view last = "scan counter, last in the block";
    constexpr std::string_view causes =
        "why the quality is not good: 0 nothing wrong, 1 never read, 2 not fitted, 3 reading too old, "
        "4 link lost, 5 device answered with an exception, 6 value cannot be decoded, "
        "7 loop current under range, 8 loop current over range, 9 changes faster than water can, "
        "10 value does not move at all, 11 transmitters disagree, 12 substituted value";

    at.begin("identity", 0);
    at.add("identity.scan_first", u32, 1, "", first);
    at.add("map_id", u16, 1, "", "always 0x4652");
    at.add("map_version_major", u16, 1, "", "a reader refuses another major version");
    at.add("map_version_minor", u16, 1, "", "rises when registers or codes are added");
    at.add("test_integer", u32, 1, "", "always 0x01020304: proves the reader's word order");
    at.add("test_float", f32, 1, "", "always 123456.0: proves the reader's float decoding");
    at.add("pump_count", u16, 1, "", "pumps of the station");
    at.add("scan_period", u16, 1, "ms", "time between scans");
    at.add("identity.scan_last", u32, 1, "", last);

    at.begin("advice", 100);
    at.add("advice.scan_first", u32, 1, "", first);
    at.add("station_time", u64, 1, "ms", "station time of the scan, Unix milliseconds UTC");
    at.add("heartbeat", u16, 1, "", "changes with every scan");
    at.add("expiry", u16, 1, "ms",
           "advice is void when the heartbeat stood still for longer, in station time");
    at.add("service", u16, 1, "",
           "0 normal, 1 one transmitter, 2 floats, 3 fixed speed, 4 hold, 5 waiting: nothing is advised");
    at.add("drive.run", u16, 1, "", "1: run the drive");
    at.add("drive.speed", u16, 0.01, "Hz", "speed reference");
    at.add("drive.synchronise", u16, 1, "", "1: match the line's voltage, frequency and angle");
    at.add("drive.output_close", u16, 1, "", "1: drive output contactor closed");
    at.add("drive.pump", u16, 1, "", "pump the drive feeds, 1 to 8; 0 none");
    at.add("pumps_on_line", u16, 1, "", "number of pumps on the line");
    at.add("sequence", u16, 1, "",
           "0 none, 1 start on drive, 2 hand-over, 3 take-back, 4 stop on drive, 5 stop from line, "
           "6 line start");
    at.add("step", u16, 1, "", "step of the sequence, see the sequence tables; 0 idle");
    at.add("sequence.pump", u16, 1, "", "pump of the sequence, 1 to 8; 0 none");
    at.add("next.action", u16, 1, "",
           "0 none, 1 start on drive, 2 hand-over, 3 take-back, 4 stop on drive, "
           "5 stop from line, 6 line start");
    at.add("next.pump", u16, 1, "", "pump of the next action, 1 to 8; 0 none");
    at.add("next.countdown", s32, 0.001, "s", "to the next action if nothing changes");
    at.add("next.reason", u16, 1, "", "reason code of the next action");
    for (std::size_t pump = 0; pump < core::pumps_max; ++pump) {
        at.add_for_pump(pump, "drive_side_close", u16, 1, "", "1: drive-side contactor closed");
        at.add_for_pump(pump, "line_side_close", u16, 1, "", "1: line-side contactor closed");
        at.add_for_pump(pump, "state", u16, 1, "",
                        "0 off, 1 starting, 2 on drive, 3 to line, 4 on line, 5 to drive, "
                        "6 stopping, 7 locked out, 8 unavailable");
    }
    at.add("measured.quality", u16, 1, "", "0 good, 1 uncertain, 2 bad");
    at.add("measured.cause", u16, 1, "", causes);
    at.add("measured.age", u32, 0.001, "s", "age of the newest reading behind the measured value");
    at.add("measured", s32, 0.001, "m", "measured value of the duty: level or pressure head");
    at.add("setpoint", s32, 0.001, "m", "of the measured value");
    at.add("demand", u16, 0.01, "Hz", "speed that the demand asks for");
    at.add("minimum_flow_speed", u16, 0.01, "Hz",
           "speed that just delivers the minimum flow in this combination");
    at.add("inflow", s32, 0.0001, "m3/s", "observed inflow");
    at.add("pumped", s32, 0.0001, "m3/s", "pumped flow estimated from the curves");
    at.add(
        "station_alarms", u32, 1, "",
        "a bit for each alarm of the station in the order of `freshet alarms`, the first the lowest; active");
    at.add("station_alarms_unacknowledged", u32, 1, "",
           "a bit for each alarm of the station, not acknowledged");
    at.add("advice.scan_last", u32, 1, "", last);

    at.begin("pumps", 200);
    at.add("pumps.scan_first", u32, 1, "", first);
    for (std::size_t pump = 0; pump < core::pumps_max; ++pump) {
        at.add_for_pump(
            pump, "alarms", u16, 1, "",
            "a bit for each alarm of a pump in the order of `freshet alarms`, the first the lowest; active");
        at.add_for_pump(pump, "alarms_unacknowledged", u16, 1, "",
                        "a bit for each alarm of the pump, not acknowledged");
        at.add_for_pump(pump, "run_time", u32, 60, "s", "running time in whole minutes");
        at.add_for_pump(pump, "starts", u32, 1, "", "starts, on the drive or the line");
        at.add_for_pump(pump, "line_starts", u32, 1, "", "starts on the line");
        at.add_for_pump(pump, "starts_last_hour", u16, 1, "", "starts within the last hour");
    }
    at.add("pumps.scan_last", u32, 1, "", last);

    at.begin("floats", 300);
    at.add("floats.scan_first", u32, 1, "", first);
    at.add("float.drive.speed", f32, 1, "Hz", "mirror of drive.speed");
    at.add("float.measured", f32, 1, "m", "mirror of measured");
    at.add("float.setpoint", f32, 1, "m", "mirror of setpoint");
    at.add("float.demand", f32, 1, "Hz", "mirror of demand");
    at.add("float.minimum_flow_speed", f32, 1, "Hz", "mirror of minimum_flow_speed");
    at.add("float.inflow", f32, 1, "m3/s", "mirror of inflow");
    at.add("float.pumped", f32, 1, "m3/s", "mirror of pumped");
    at.add("floats.scan_last", u32, 1, "", last);

    at.begin("alarms", 400);
    at.add("alarms.scan_first", u32, 1, "", first);
    at.add("station_alarms_shelved", u32, 1, "", "a bit for each alarm of the station, shelved for a time");
    at.add("station_alarms_out_of_service", u32, 1, "",
           "a bit for each alarm of the station, taken out of service");
    at.add("station_alarms_suppressed", u32, 1, "",
           "a bit for each alarm of the station, not raised because another is shown that it follows from");
    at.add("station_alarms_first_out", u32, 1, "",
           "a bit for each alarm of the station that came first in its group");
    for (std::size_t pump = 0; pump < core::pumps_max; ++pump) {
        at.add_for_pump(pump, "alarms_shelved", u16, 1, "",
                        "a bit for each alarm of the pump, shelved for a time");
        at.add_for_pump(pump, "alarms_out_of_service", u16, 1, "",
                        "a bit for each alarm of the pump, taken out of service");
        at.add_for_pump(pump, "alarms_suppressed", u16, 1, "",
                        "a bit for each alarm of the pump, not raised because another is shown that it "
                        "follows from");
        at.add_for_pump(pump, "alarms_first_out", u16, 1, "",
                        "a bit for each alarm of the pump that came first");
    }
    at.add("alarms.scan_last", u32, 1, "", last);

    at.begin("transmitters", 500);
    at.add("transmitters.scan_first", u32, 1, "", first);
    at.add("transmitter_1.quality", u16, 1, "",
           "of the first transmitter of the measured value: 0 good, 1 uncertain, 2 bad");
    at.add("transmitter_1.cause", u16, 1, "", causes);
    at.add("transmitter_2.quality", u16, 1, "", "of the second transmitter: 0 good, 1 uncertain, 2 bad");
    at.add("transmitter_2.cause", u16, 1, "", causes);
    at.add("transmitters.scan_last", u32, 1, "", last);
}

constexpr Layout counted() {
    Layout at;
    lay_out(at);
    return at;
}

struct Tables {
    std::array<AdviceRegister, counted().row_count> registers{};
    std::array<AdviceBlock, counted().block_count> blocks{};
};

constexpr Tables made() {
    Tables tables;
    Layout at{.rows = tables.registers.data(), .blocks = tables.blocks.data()};
    lay_out(at);
    return tables;
}

inline constexpr Tables tables = made();

}  // namespace table

inline constexpr auto& advice_registers = table::tables.registers;
inline constexpr auto& advice_blocks = table::tables.blocks;
inline constexpr std::size_t advice_address_end = advice_blocks.back().address + advice_blocks.back().count;

/// All registers by zero-based address; what lies between the blocks is never served.
using AdviceImage = std::array<std::uint16_t, advice_address_end>;

/// The register of that name; a name that is not in the table does not compile.
consteval const AdviceRegister& advice_register(std::string_view name) {
    for (const AdviceRegister& entry : advice_registers) {
        if (entry.name.view() == name) return entry;
    }
    throw "no advice register of that name";
}

/// The block of that name; likewise.
consteval const AdviceBlock& advice_block(std::string_view name) {
    for (const AdviceBlock& block : advice_blocks) {
        if (block.name == name) return block;
    }
    throw "no advice block of that name";
}

/// What readers of 16-bit traditional reference numbers call an input register: 30001 is address 0.
constexpr std::uint32_t input_reference(std::uint16_t address) {
    return 30001U + address;
}
/// The same for a holding register: 40001 is address 0.
constexpr std::uint32_t holding_reference(std::uint16_t address) {
    return 40001U + address;
}

/// Whether `count` registers from `address` lie in one block.
constexpr bool advice_serves(std::uint32_t address, std::uint32_t count) {
    return std::any_of(advice_blocks.begin(), advice_blocks.end(), [&](const AdviceBlock& block) {
        return address >= block.address &&
               address + count <= static_cast<std::uint32_t>(block.address) + block.count;
    });
}

/// Advice to registers. Numbers are converted again only when they changed.
class AdviceEncoder {
  public:
    /// `expiry_ms` up to 65534: station time for which advice holds. Before the first scan everything but the
    /// identity reads "not available" or zero.
    AdviceEncoder(std::uint8_t pump_count, std::int32_t scan_ms, std::int32_t expiry_ms);

    /// `measured_read_ms` is the station time of the newest reading behind the measured value, or
    /// core::never_ms.
    const AdviceImage& encode(const core::Advice& advice, std::int64_t measured_read_ms);
    const AdviceImage& image() const { return image_; }

  private:
    void encode_numbers(const core::Advice& advice);
    void encode_pumps(const core::Advice& advice);
    void encode_marks(const core::Advice& advice);

    AdviceImage image_{};
    std::uint8_t pump_count_;
    std::array<std::uint64_t, 7> last_numbers_{};
    std::array<core::PumpFigures, core::pumps_max> last_figures_{};
    bool fresh_ = true;
};

/// What a read of the identity block says.
struct AdviceIdentity {
    bool ours = false;  ///< map id, major version and test pattern as this program knows them
    std::uint16_t version_major = 0, version_minor = 0;
    std::uint8_t pump_count = 0;
    std::int32_t scan_ms = 0;
};

/// `registers` is the identity block.
AdviceIdentity decode_identity(std::span<const std::uint16_t> registers);

struct PumpContacts {
    bool drive_side_close = false, line_side_close = false;
};

/// What a read of the advice block says.
struct AdviceRead {
    bool whole = false;  ///< the scan counters agree and a scan has been made
    std::uint32_t scan_count = 0;
    std::int64_t time_ms = core::never_ms;
    std::int32_t expiry_ms = 0;
    core::Service service = core::Service::waiting;
    bool drive_run = false, synchronise = false, output_close = false;
    double speed_hz = 0;
    std::uint8_t drive_pump = core::no_pump;
    std::array<PumpContacts, core::pumps_max> pumps{};
    std::array<core::PumpState, core::pumps_max> states{};
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

/// Judges advice by the reader's own clock: it is void when its scan counter stood still for longer than its
/// expiry. Absolute times are not compared, so that a reader with another clock judges alike.
class AdviceWatch {
  public:
    Validity judge(const AdviceRead& read, std::int64_t now_ms);
    /// No read was possible; the last advice goes on ageing.
    Validity judge_silence(std::int64_t now_ms) const;

  private:
    bool seen_ = false;
    std::uint32_t scan_count_ = 0;
    std::int64_t changed_ms_ = 0;
    std::int32_t expiry_ms_ = 0;
};

}  // namespace freshet::modbus
