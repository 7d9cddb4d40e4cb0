// The registers of the advice map, row by row. A row has the name, the type, the scale, the unit, the
// function that takes the value from the advice of a scan, and the meaning. The addresses, the encoder and
// the printed map follow from these rows.
// One reason to change: a new register. A new register goes into a block of its own, because the scan counter
// at the end of an older block must not move. A new register and a new code of an enumeration raise the minor
// version. Any other change of the map raises the major version.
#pragma once

#include <algorithm>
#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <span>
#include <string_view>
#include <type_traits>

#include "config/field_map.hpp"
#include "controller/core/advice.hpp"
#include "controller/words/reasons.hpp"
#include "controller/words/sequences.hpp"
#include "controller/words/states.hpp"
#include "hal/modbus/code_list.hpp"
#include "hal/modbus/word_codec.hpp"

namespace freshet::modbus {

inline constexpr std::uint16_t map_id = 0x4652;
inline constexpr std::uint16_t map_version_major = 1;
inline constexpr std::uint16_t map_version_minor = 5;
inline constexpr std::uint32_t test_pattern = 0x01020304;
inline constexpr float test_number = 123456.0F;

namespace table {

/// The data of one scan for the registers.
struct Published {
    const core::Advice& advice;
    std::int64_t measured_read_ms;  ///< station time of the newest reading behind the measured value
    std::uint8_t pump_count;
    std::int32_t scan_ms, expiry_ms;
};

/// The function that gives a register its value. The value is raw words, or a number in the register's unit.
/// The encoder divides the number by the scale and rounds the result. `pump` counts from zero and has no
/// meaning in a register of the station.
struct Encoding {
    using Raw = std::uint64_t (*)(const Published&, std::size_t pump);
    using Real = double (*)(const Published&, std::size_t pump);

    // A function of either kind converts automatically. A row without a function does not compile.
    template <class Function>
    constexpr Encoding(Function function) {
        constexpr bool gives_raw = std::is_convertible_v<Function, Raw> && !std::is_null_pointer_v<Function>;
        constexpr bool gives_real =
            std::is_convertible_v<Function, Real> && !std::is_null_pointer_v<Function>;
        static_assert(
            gives_raw || gives_real,
            "a row must name how its register gets a value: a function to std::uint64_t or to double");
        if constexpr (gives_real) {
            real = function;
            gives_number = true;
        } else if constexpr (gives_raw) {
            raw = function;
        }
    }

    Raw raw = nullptr;
    Real real = nullptr;
    // Under some sanitizers a pointer to a function is not a constant, so a flag distinguishes the two kinds.
    bool gives_number = false;
};

/// How often the map has a row: once, once for each pump, or once for each block. A row of a pump has
/// "pump_N." before its name. A row of a block has the name of the block before its name.
enum class Per : std::uint8_t { station, pump, block };

struct Row {
    std::string_view name;
    config::WordType type;
    double scale;  ///< value = raw * scale
    std::string_view unit;
    Encoding encoding;
    std::string_view meaning;
    Per per = Per::station;

    constexpr std::size_t words() const { return words_of(type); }
};

constexpr Row each_pump(Row row) {
    row.per = Per::pump;
    return row;
}

// --- functions that take a value from the advice ---

template <class Value>
constexpr auto register_value(Value value) {
    if constexpr (std::is_same_v<Value, double>) {
        return value;
    } else {
        static_assert(std::is_enum_v<Value> || std::is_unsigned_v<Value>, "a signed number needs a function");
        return static_cast<std::uint64_t>(value);
    }
}

/// A member of the advice, or a member of a member. The member is a flag, a code, a counter, bits or a
/// number.
template <auto... path>
constexpr auto of(const Published& from, std::size_t /*pump*/) {
    return register_value((from.advice.*....*path));
}

/// A member of the pump's entry in an array of the advice.
template <auto array, auto... path>
constexpr auto of_pump(const Published& from, std::size_t pump) {
    return register_value(((from.advice.*array)[pump].*....*path));
}

/// A member of the entry of a transmitter.
template <std::size_t transmitter, auto member>
constexpr std::uint64_t of_transmitter(const Published& from, std::size_t /*pump*/) {
    return static_cast<std::uint64_t>(from.advice.transmitters[transmitter].*member);
}
static_assert(core::transmitters_max == 2, "the map has two transmitters");

/// A pump of the advice. In the registers pumps count from 1. The value 0 means no pump.
template <auto... path>
constexpr std::uint64_t pump_number(const Published& from, std::size_t /*pump*/) {
    const std::uint8_t pump = (from.advice.*....*path);
    return pump == core::no_pump ? 0U : pump + 1U;
}

template <std::uint64_t raw>
constexpr std::uint64_t always(const Published& /*from*/, std::size_t /*pump*/) {
    return raw;
}

constexpr std::uint64_t scan_counter(const Published& from, std::size_t /*pump*/) {
    return from.advice.scan_count;
}

constexpr std::uint64_t pump_count(const Published& from, std::size_t /*pump*/) {
    return from.pump_count;
}

constexpr std::uint64_t scan_period(const Published& from, std::size_t /*pump*/) {
    return static_cast<std::uint64_t>(from.scan_ms);
}

constexpr std::uint64_t station_time(const Published& from, std::size_t /*pump*/) {
    return from.advice.time_ms == core::never_ms ? not_available(config::WordType::u64)
                                                 : static_cast<std::uint64_t>(from.advice.time_ms);
}

constexpr std::uint64_t expiry(const Published& from, std::size_t /*pump*/) {
    return static_cast<std::uint64_t>(std::clamp(from.expiry_ms, 0, 0xFFFE));
}

constexpr std::uint64_t countdown(const Published& from, std::size_t /*pump*/) {
    const std::int32_t ms = from.advice.next.countdown_ms;
    return ms < 0 ? not_available(config::WordType::s32) : static_cast<std::uint64_t>(ms);
}

constexpr std::uint64_t measured_age(const Published& from, std::size_t /*pump*/) {
    const std::int64_t age_ms = from.advice.time_ms - from.measured_read_ms;
    const bool known = from.measured_read_ms != core::never_ms && age_ms >= 0 &&
                       age_ms < std::numeric_limits<std::uint32_t>::max();
    return known ? static_cast<std::uint64_t>(age_ms) : not_available(config::WordType::u32);
}

constexpr std::uint64_t run_minutes(const Published& from, std::size_t pump) {
    return static_cast<std::uint64_t>(from.advice.figures[pump].run_ms / 60000);
}

// --- the rows ---

using core::Advice;
using core::AlarmMarks;
using core::NextAction;
using core::PumpAdvice;
using core::PumpFigures;
using core::TransmitterState;
using enum config::WordType;

/// Every block begins and ends with the scan counter. The layout adds the two registers automatically.
inline constexpr Row scan_first{
    "scan_first",
    u32,
    1,
    "",
    scan_counter,
    "scan counter, first in the block; a read is whole only if it equals the last",
    Per::block};
inline constexpr Row scan_last{"scan_last", u32, 1, "", scan_counter, "scan counter, last in the block",
                               Per::block};

inline constexpr std::string_view cause_codes =
    code_list<"why the quality is not good: ", words::quality_causes, Spelling::text>;

inline constexpr std::array identity_rows = std::to_array<Row>({
    {"map_id", u16, 1, "", always<map_id>, "always 0x4652"},
    {"map_version_major", u16, 1, "", always<map_version_major>, "a reader refuses another major version"},
    {"map_version_minor", u16, 1, "", always<map_version_minor>, "rises when registers or codes are added"},
    {"test_integer", u32, 1, "", always<test_pattern>, "always 0x01020304: proves the reader's word order"},
    {"test_float", f32, 1, "", always<std::bit_cast<std::uint32_t>(test_number)>,
     "always 123456.0: proves the reader's float decoding"},
    {"pump_count", u16, 1, "", pump_count, "pumps of the station"},
    {"scan_period", u16, 1, "ms", scan_period, "time between scans"},
});

inline constexpr std::array advice_rows = std::to_array<Row>({
    {"station_time", u64, 1, "ms", station_time, "station time of the scan, Unix milliseconds UTC"},
    {"heartbeat", u16, 1, "", scan_counter, "changes with every scan"},
    {"expiry", u16, 1, "ms", expiry,
     "advice is void when the heartbeat has not changed for longer, in station time"},
    {"service", u16, 1, "", of<&Advice::service>,
     code_list<"", words::services, Spelling::spaced_name, ": nothing is advised">},
    {"drive.run", u16, 1, "", of<&Advice::drive_run>, "1: run the drive"},
    {"drive.speed", u16, 0.01, "Hz", of<&Advice::speed_hz>, "speed reference"},
    {"drive.synchronise", u16, 1, "", of<&Advice::synchronise>,
     "1: match the line's voltage, frequency and angle"},
    {"drive.output_close", u16, 1, "", of<&Advice::output_close>, "1: drive output contactor closed"},
    {"drive.pump", u16, 1, "", pump_number<&Advice::drive_pump>, "pump the drive feeds, 1 to 8; 0 none"},
    {"pumps_on_line", u16, 1, "", of<&Advice::pumps_on_line>, "number of pumps on the line"},
    {"sequence", u16, 1, "", of<&Advice::sequence>, code_list<"", words::sequences>},
    {"step", u16, 1, "", of<&Advice::step>,
     code_list<"step of the sequence, see the sequence tables; ", words::steps, Spelling::name>},
    {"sequence.pump", u16, 1, "", pump_number<&Advice::sequence_pump>,
     "pump of the sequence, 1 to 8; 0 none"},
    {"next.action", u16, 1, "", of<&Advice::next, &NextAction::intention>, code_list<"", words::intentions>},
    {"next.pump", u16, 1, "", pump_number<&Advice::next, &NextAction::pump>,
     "pump of the next action, 1 to 8; 0 none"},
    {"next.countdown", s32, 0.001, "s", countdown, "to the next action if nothing changes"},
    {"next.reason", u16, 1, "", of<&Advice::next, &NextAction::reason>,
     code_list<"reason of the next action: ", words::reasons, Spelling::name>},
    each_pump({"drive_side_close", u16, 1, "", of_pump<&Advice::pumps, &PumpAdvice::drive_side_close>,
               "1: drive-side contactor closed"}),
    each_pump({"line_side_close", u16, 1, "", of_pump<&Advice::pumps, &PumpAdvice::line_side_close>,
               "1: line-side contactor closed"}),
    each_pump({"state", u16, 1, "", of_pump<&Advice::pumps, &PumpAdvice::state>,
               code_list<"", words::pump_states>}),
    {"measured.quality", u16, 1, "", of<&Advice::measured_quality>, code_list<"", words::qualities>},
    {"measured.cause", u16, 1, "", of<&Advice::measured_cause>, cause_codes},
    {"measured.age", u32, 0.001, "s", measured_age, "age of the newest reading behind the measured value"},
    {"measured", s32, 0.001, "m", of<&Advice::measured_m>,
     "measured value of the duty: level or pressure head"},
    {"setpoint", s32, 0.001, "m", of<&Advice::setpoint_m>, "of the measured value"},
    {"demand", u16, 0.01, "Hz", of<&Advice::demand_hz>, "speed of the demand"},
    {"minimum_flow_speed", u16, 0.01, "Hz", of<&Advice::minimum_flow_hz>,
     "speed that just delivers the minimum flow in this combination"},
    {"inflow", s32, 0.0001, "m3/s", of<&Advice::inflow_m3s>, "observed inflow"},
    {"pumped", s32, 0.0001, "m3/s", of<&Advice::pumped_m3s>, "pumped flow estimated from the curves"},
    {"station_alarms", u32, 1, "", of<&Advice::station_alarms>,
     "a bit for each alarm of the station in the order of `freshet alarms`, the first the lowest; active"},
    {"station_alarms_unacknowledged", u32, 1, "", of<&Advice::station_alarms_unacknowledged>,
     "a bit for each alarm of the station, not acknowledged"},
});

inline constexpr std::array pumps_rows = std::to_array<Row>({
    each_pump(
        {"alarms", u16, 1, "", of_pump<&Advice::pump_alarms>,
         "a bit for each alarm of a pump in the order of `freshet alarms`, the first the lowest; active"}),
    each_pump({"alarms_unacknowledged", u16, 1, "", of_pump<&Advice::pump_alarms_unacknowledged>,
               "a bit for each alarm of the pump, not acknowledged"}),
    each_pump({"run_time", u32, 60, "s", run_minutes, "running time in whole minutes"}),
    each_pump({"starts", u32, 1, "", of_pump<&Advice::figures, &PumpFigures::starts>,
               "starts, on the drive or the line"}),
    each_pump({"line_starts", u32, 1, "", of_pump<&Advice::figures, &PumpFigures::line_starts>,
               "starts on the line"}),
    each_pump({"starts_last_hour", u16, 1, "", of_pump<&Advice::figures, &PumpFigures::starts_last_hour>,
               "starts within the last hour"}),
});

inline constexpr std::array floats_rows = std::to_array<Row>({
    {"float.drive.speed", f32, 1, "Hz", of<&Advice::speed_hz>, "mirror of drive.speed"},
    {"float.measured", f32, 1, "m", of<&Advice::measured_m>, "mirror of measured"},
    {"float.setpoint", f32, 1, "m", of<&Advice::setpoint_m>, "mirror of setpoint"},
    {"float.demand", f32, 1, "Hz", of<&Advice::demand_hz>, "mirror of demand"},
    {"float.minimum_flow_speed", f32, 1, "Hz", of<&Advice::minimum_flow_hz>, "mirror of minimum_flow_speed"},
    {"float.inflow", f32, 1, "m3/s", of<&Advice::inflow_m3s>, "mirror of inflow"},
    {"float.pumped", f32, 1, "m3/s", of<&Advice::pumped_m3s>, "mirror of pumped"},
});

template <auto mark>
constexpr Row station_mark(std::string_view name, std::string_view meaning) {
    return {name, u32, 1, "", of<&Advice::station_alarm_marks, mark>, meaning};
}
template <auto mark>
constexpr Row pump_mark(std::string_view name, std::string_view meaning) {
    return each_pump({name, u16, 1, "", of_pump<&Advice::pump_alarm_marks, mark>, meaning});
}
static_assert(static_cast<unsigned>(core::PumpAlarm::count) <= 16,
              "a pump has no more alarms than a register has bits");

inline constexpr std::array alarms_rows = std::to_array<Row>({
    station_mark<&AlarmMarks::shelved>("station_alarms_shelved",
                                       "a bit for each alarm of the station, shelved for a time"),
    station_mark<&AlarmMarks::out_of_service>("station_alarms_out_of_service",
                                              "a bit for each alarm of the station, taken out of service"),
    station_mark<&AlarmMarks::suppressed>(
        "station_alarms_suppressed",
        "a bit for each alarm of the station, not raised because another is shown that it follows from"),
    station_mark<&AlarmMarks::first_out>("station_alarms_first_out",
                                         "a bit for each alarm of the station that came first in its group"),
    pump_mark<&AlarmMarks::shelved>("alarms_shelved", "a bit for each alarm of the pump, shelved for a time"),
    pump_mark<&AlarmMarks::out_of_service>("alarms_out_of_service",
                                           "a bit for each alarm of the pump, taken out of service"),
    pump_mark<&AlarmMarks::suppressed>(
        "alarms_suppressed",
        "a bit for each alarm of the pump, not raised because another is shown that it follows from"),
    pump_mark<&AlarmMarks::first_out>("alarms_first_out", "a bit for each alarm of the pump that came first"),
});

inline constexpr std::array transmitters_rows = std::to_array<Row>({
    {"transmitter_1.quality", u16, 1, "", of_transmitter<0, &TransmitterState::quality>,
     code_list<"of the first transmitter of the measured value: ", words::qualities>},
    {"transmitter_1.cause", u16, 1, "", of_transmitter<0, &TransmitterState::cause>, cause_codes},
    {"transmitter_2.quality", u16, 1, "", of_transmitter<1, &TransmitterState::quality>,
     code_list<"of the second transmitter: ", words::qualities>},
    {"transmitter_2.cause", u16, 1, "", of_transmitter<1, &TransmitterState::cause>, cause_codes},
});

/// A block of the map: the address where the block begins, and its rows between the two scan counters.
struct BlockRows {
    std::string_view name;
    std::uint16_t address;
    std::span<const Row> rows;
};

inline constexpr std::array blocks = std::to_array<BlockRows>({
    {"identity", 0, identity_rows},
    {"advice", 100, advice_rows},
    {"pumps", 200, pumps_rows},
    {"floats", 300, floats_rows},
    {"alarms", 400, alarms_rows},
    {"transmitters", 500, transmitters_rows},
});

}  // namespace table
}  // namespace freshet::modbus
