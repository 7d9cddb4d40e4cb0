// The field map's compiler, encoder and decoder.
// One reason to change: see the header.
#include "hal/modbus/field_codec.hpp"

#include <algorithm>
#include <bit>
#include <cstring>
#include <limits>
#include <tuple>

#include <fmt/format.h>

#include "hal/modbus/word_codec.hpp"

namespace freshet::modbus {
namespace {

/// The end of the year 9999: a clock beyond it is none, and beyond the whole numbers it could not be told.
constexpr double plant_time_max_ms = 253'402'300'800'000;

using config::FieldEntry;
using config::PumpSignal;
using config::SignalIndex;
using config::StationSignal;
using config::Table;
using config::WordType;

bool is_bit_table(Table table) {
    return table == Table::coils || table == Table::discrete_inputs;
}

std::size_t addresses_of(const FieldEntry& entry) {
    return is_bit_table(entry.table) ? 1 : words_of(entry.type);
}

const char* table_name(Table table) {
    switch (table) {
        case Table::coils:
            return "coil";
        case Table::discrete_inputs:
            return "discrete input";
        case Table::input_registers:
            return "input register";
        case Table::holding_registers:
            return "holding register";
    }
    return "address";
}

/// Place of an entry among all addresses of the site, groups aside.
auto place(const FieldEntry& entry) {
    return std::tuple(entry.unit_id, entry.table, entry.address, entry.bit, entry.line);
}

std::string where(const std::string& file, const FieldEntry& entry) {
    return fmt::format("{}:{}:{}", file, entry.line, entry.column);
}

bool shares_register_as_bits(const FieldEntry& first, const FieldEntry& second) {
    return !is_bit_table(first.table) && first.type == WordType::bit && second.type == WordType::bit &&
           first.bit != second.bit;
}

void find_overlaps(const std::vector<FieldEntry>& sorted, const std::string& file,
                   std::vector<std::string>& errors) {
    for (std::size_t i = 0; i < sorted.size(); ++i) {
        const FieldEntry& first = sorted[i];
        const std::size_t end = first.address + addresses_of(first);
        if (end > 0x10000) {
            errors.push_back(
                fmt::format("{}: {} takes {} registers from {} {}; expected the last at 65535 or below",
                            where(file, first), signal_name(first.signal), addresses_of(first),
                            table_name(first.table), first.address));
        }
        for (std::size_t j = i + 1; j < sorted.size(); ++j) {
            const FieldEntry& second = sorted[j];
            if (second.unit_id != first.unit_id || second.table != first.table || second.address >= end)
                break;
            if (shares_register_as_bits(first, second)) continue;
            const auto [low, high] = std::minmax(first.line, second.line);
            errors.push_back(
                fmt::format("{}: {} and {} overlap at unit {} {} {} (lines {} and {}); expected addresses "
                            "that do not overlap",
                            where(file, first.line < second.line ? second : first), signal_name(first.signal),
                            signal_name(second.signal), first.unit_id, table_name(first.table),
                            second.address, low, high));
        }
    }
}

/// The transmitter signal that says the same thing in another way, if there is one.
std::optional<SignalIndex> other_form(SignalIndex signal) {
    struct Pair {
        StationSignal loop, value;
    };
    constexpr Pair pairs[] = {{StationSignal::level_1_loop, StationSignal::level_1},
                              {StationSignal::level_2_loop, StationSignal::level_2},
                              {StationSignal::header_pressure_loop, StationSignal::header_pressure}};
    for (const Pair& pair : pairs) {
        if (signal == config::index_of(pair.loop)) return config::index_of(pair.value);
    }
    return std::nullopt;
}

void find_doubles(const config::FieldMap& map, std::vector<std::string>& errors) {
    std::array<const FieldEntry*, config::signal_count> seen{};
    for (const FieldEntry& entry : map.entries) {
        const FieldEntry*& slot = seen[entry.signal];
        if (slot != nullptr) {
            errors.push_back(fmt::format("{}: {} is mapped twice (lines {} and {}); expected one place",
                                         where(map.file, entry), signal_name(entry.signal), slot->line,
                                         entry.line));
        }
        slot = &entry;
    }
    for (const FieldEntry& entry : map.entries) {
        const auto other = other_form(entry.signal);
        if (other && seen[*other] != nullptr) {
            errors.push_back(
                fmt::format("{}: {} and {} are both mapped (lines {} and {}); expected the loop current "
                            "or the value",
                            where(map.file, entry), signal_name(entry.signal), signal_name(*other),
                            entry.line, seen[*other]->line));
        }
    }
}

bool continues(const Block& block, const FieldEntry& entry) {
    const std::size_t limit = is_bit_table(block.table) ? bits_per_read_max : registers_per_read_max;
    const std::size_t end =
        std::max<std::size_t>(block.count, entry.address + addresses_of(entry) - block.address);
    return block.group == entry.group && block.unit_id == entry.unit_id && block.table == entry.table &&
           entry.address <= block.address + block.count && end <= limit;
}

void add_to_block(Block& block, const FieldEntry& entry) {
    const std::size_t end = entry.address + addresses_of(entry) - block.address;
    block.count = static_cast<std::uint16_t>(std::max<std::size_t>(block.count, end));
    ++block.entries;
}

}  // namespace

std::string signal_name(SignalIndex signal) {
    if (signal < config::station_signals.size()) return std::string(config::station_signals[signal].name);
    const std::size_t beyond = signal - config::station_signals.size();
    return fmt::format("pump_{}.{}", beyond / config::pump_signals.size() + 1,
                       config::pump_signals[beyond % config::pump_signals.size()].name);
}

tl::expected<FieldPlan, std::vector<std::string>> compile(const config::FieldMap& map) {
    std::vector<std::string> errors;
    for (const FieldEntry& entry : map.entries) {
        if (entry.group >= map.groups.size() || entry.signal >= config::signal_count) {
            errors.push_back(fmt::format("{}: an entry names a poll group or a signal that does not exist",
                                         where(map.file, entry)));
        }
    }
    if (!errors.empty()) return tl::unexpected(std::move(errors));

    std::vector<FieldEntry> sorted = map.entries;
    std::sort(sorted.begin(), sorted.end(),
              [](const FieldEntry& a, const FieldEntry& b) { return place(a) < place(b); });
    find_overlaps(sorted, map.file, errors);
    find_doubles(map, errors);
    if (!errors.empty()) return tl::unexpected(std::move(errors));

    std::stable_sort(sorted.begin(), sorted.end(),
                     [](const FieldEntry& a, const FieldEntry& b) { return a.group < b.group; });
    FieldPlan plan{.name = map.name,
                   .file = map.file,
                   .groups = map.groups,
                   .blocks = {},
                   .entries = {},
                   .image_words = 0,
                   .clock_block = std::nullopt};
    for (const FieldEntry& entry : sorted) {
        if (plan.blocks.empty() || !continues(plan.blocks.back(), entry)) {
            Block block;
            block.unit_id = entry.unit_id;
            block.group = entry.group;
            block.table = entry.table;
            block.address = entry.address;
            block.first_entry = plan.entries.size();
            plan.blocks.push_back(block);
        }
        add_to_block(plan.blocks.back(), entry);
        plan.entries.push_back({entry, 0, 0});
        if (entry.signal == config::index_of(StationSignal::plant_time))
            plan.clock_block = plan.blocks.size() - 1;
    }
    for (Block& block : plan.blocks) {
        const bool bits = is_bit_table(block.table);
        const std::size_t words = bits ? (block.count + 15U) / 16U : block.count;
        block.first_word = plan.image_words;
        block.words = (words + 3) / 4 * 4;
        plan.image_words += block.words;
        for (std::size_t i = block.first_entry; i < block.first_entry + block.entries; ++i) {
            PlannedEntry& entry = plan.entries[i];
            const std::size_t at = entry.field.address - block.address;
            entry.word = block.first_word + (bits ? at / 16 : at);
            entry.bit = bits ? static_cast<std::uint8_t>(at % 16) : entry.field.bit;
            if (bits) entry.field.type = WordType::bit;
        }
    }
    return plan;
}

PollSchedule::PollSchedule(const FieldPlan& plan)
    : next_ms_(plan.groups.size(), 0), due_(plan.groups.size(), 0) {
    for (const config::PollGroup& group : plan.groups) period_ms_.push_back(std::max(group.period_ms, 1));
}

void PollSchedule::advance(std::int64_t now_ms) {
    for (std::size_t i = 0; i < period_ms_.size(); ++i) {
        due_[i] = now_ms >= next_ms_[i] ? 1 : 0;
        if (due_[i] == 0) continue;
        // A scan that comes in time needs no division.
        next_ms_[i] += period_ms_[i];
        if (next_ms_[i] <= now_ms) next_ms_[i] = (now_ms / period_ms_[i] + 1) * period_ms_[i];
    }
}

std::int64_t PollSchedule::next_due_ms() const {
    return next_ms_.empty() ? std::numeric_limits<std::int64_t>::max()
                            : *std::min_element(next_ms_.begin(), next_ms_.end());
}

FieldEncoder::FieldEncoder(const FieldPlan& plan) : image_(plan.image_words, 0) {
    entry_of_.fill(unmapped);
    for (const PlannedEntry& planned : plan.entries) {
        const FieldEntry& field = planned.field;
        entry_of_[field.signal] = static_cast<std::uint16_t>(entries_.size());
        entries_.push_back({1 / field.scale, field.offset, range_of(field.type),
                            static_cast<std::uint32_t>(planned.word), field.type, field.order,
                            static_cast<std::uint16_t>(1U << planned.bit), field.inverted});
        signals_ = std::max<std::size_t>(signals_, field.signal + 1U);
    }
}

void FieldEncoder::write(std::uint16_t index, double reading) {
    const Entry& entry = entries_[index];
    std::uint16_t* words = image_.data() + entry.word;
    if (entry.type == WordType::bit) {
        const bool on = (reading > 0.5) != entry.inverted;
        const auto word = static_cast<std::uint16_t>(on ? (*words | entry.mask) : (*words & ~entry.mask));
        if (word == *words && !fresh_) return;
        *words = word;
    } else {
        const double number = (reading - entry.offset) * entry.scale_inverse;
        const std::uint64_t raw =
            entry.type == WordType::f32 ? raw_of(number, entry.type) : raw_integer(number, entry.range);
        const std::size_t count = words_of(entry.type);
        if (raw == get_words(words, count, entry.order) && !fresh_) return;
        put_words(raw, count, entry.order, words);
    }
    changed_[changed_count_++] = index;
}

void FieldEncoder::renew(std::size_t signal, const config::Readings& readings) {
    const auto bits = std::bit_cast<std::uint64_t>(readings[signal]);
    if (bits == last_bits_[signal] && !fresh_) return;
    last_bits_[signal] = bits;
    if (entry_of_[signal] != unmapped) write(entry_of_[signal], readings[signal]);
}

std::span<const std::uint16_t> FieldEncoder::encode(const config::Readings& readings) {
    const auto bits_of = [&](std::size_t signal) { return std::bit_cast<std::uint64_t>(readings[signal]); };
    changed_count_ = 0;
    // Most readings stand still from one scan to the next: four are compared at once.
    std::size_t signal = 0;
    for (; signal + 4 <= signals_; signal += 4) {
        const std::uint64_t changed =
            (bits_of(signal) ^ last_bits_[signal]) | (bits_of(signal + 1) ^ last_bits_[signal + 1]) |
            (bits_of(signal + 2) ^ last_bits_[signal + 2]) | (bits_of(signal + 3) ^ last_bits_[signal + 3]);
        if (changed == 0 && !fresh_) continue;
        for (std::size_t i = signal; i < signal + 4; ++i) renew(i, readings);
    }
    for (; signal < signals_; ++signal) renew(signal, readings);
    fresh_ = false;
    return image_;
}

FieldDecoder::FieldDecoder(const FieldPlan& plan)
    : blocks_(plan.blocks),
      first_of_word_(plan.image_words + 1, 0),
      last_(plan.image_words, 0),
      renew_(plan.blocks.size(), 1) {
    // Nothing is fitted until the map says so.
    for (std::size_t signal = 0; signal < config::signal_count; ++signal) {
        *target_of(static_cast<SignalIndex>(signal)).cause = core::Cause::not_fitted;
    }
    for (const PlannedEntry& planned : plan.entries) {
        const FieldEntry& field = planned.field;
        Entry entry{field.scale,
                    field.offset,
                    target_of(field.signal),
                    static_cast<std::uint32_t>(planned.word),
                    Goal::number,
                    field.type,
                    field.order,
                    planned.bit,
                    field.inverted};
        if (field.signal == config::index_of(StationSignal::plant_time)) entry.goal = Goal::plant_time;
        if (entry.target.on != nullptr) entry.goal = Goal::digital;
        if (entry.target.selector != nullptr) entry.goal = Goal::selector;
        *entry.target.cause = core::Cause::never_read;
        read_ms_.push_back(entry.target.read_ms);
        entries_.push_back(entry);
    }
    for (std::size_t word = 0; word < plan.image_words; ++word) {
        for (std::size_t i = 0; i < entries_.size(); ++i) {
            const std::size_t words = words_of(entries_[i].type);
            if (word >= entries_[i].word && word < entries_[i].word + words) {
                entries_of_word_.push_back(static_cast<std::uint32_t>(i));
            }
        }
        first_of_word_[word + 1] = static_cast<std::uint32_t>(entries_of_word_.size());
    }
}

FieldDecoder::Target FieldDecoder::target_of(SignalIndex signal) {
    const auto analog = [](core::Analog& at) {
        return Target{
            .number = &at.value, .read_ms = &at.read_ms, .quality = &at.quality, .cause = &at.cause};
    };
    const auto digital = [](core::Digital& at) {
        return Target{.on = &at.on, .read_ms = &at.read_ms, .quality = &at.quality, .cause = &at.cause};
    };
    const auto loop = [&](core::Transmitter& at) {
        Target target = analog(at.reading);
        target.number = &at.loop_ma;
        return target;
    };
    if (signal >= config::station_signals.size()) {
        const std::size_t beyond = signal - config::station_signals.size();
        core::PumpInputs& pump = inputs_.pumps[beyond / config::pump_signals.size()];
        switch (static_cast<PumpSignal>(beyond % config::pump_signals.size())) {
            case PumpSignal::drive_side_closed:
                return digital(pump.drive_side_closed);
            case PumpSignal::line_side_closed:
                return digital(pump.line_side_closed);
            case PumpSignal::tripped:
                return digital(pump.tripped);
            case PumpSignal::seal_leak:
                return digital(pump.seal_leak);
            case PumpSignal::selector:
                return Target{.selector = &pump.selector,
                              .read_ms = &pump.selector_read_ms,
                              .quality = &pump.selector_quality,
                              .cause = &unused_cause_};
            case PumpSignal::current:
                return analog(pump.current_a);
            case PumpSignal::winding_temperature:
                return analog(pump.winding_temperature_k);
            case PumpSignal::count:
                break;
        }
    }
    switch (static_cast<StationSignal>(signal)) {
        case StationSignal::level_1_loop:
            return loop(inputs_.level[0]);
        case StationSignal::level_2_loop:
            return loop(inputs_.level[1]);
        case StationSignal::level_1:
            return analog(inputs_.level[0].reading);
        case StationSignal::level_2:
            return analog(inputs_.level[1].reading);
        case StationSignal::header_pressure_loop:
            return loop(inputs_.header_pressure);
        case StationSignal::header_pressure:
            return analog(inputs_.header_pressure.reading);
        case StationSignal::station_flow:
            return analog(inputs_.station_flow_m3s);
        case StationSignal::high_float:
            return digital(inputs_.high_float);
        case StationSignal::low_float:
            return digital(inputs_.low_float);
        case StationSignal::emergency_stop:
            return digital(inputs_.emergency_stop);
        case StationSignal::on_generator:
            return digital(inputs_.line.on_generator);
        case StationSignal::line_voltage:
            return analog(inputs_.line.voltage_v);
        case StationSignal::line_frequency:
            return analog(inputs_.line.frequency_hz);
        case StationSignal::drive_ready:
            return digital(inputs_.drive.ready);
        case StationSignal::drive_running:
            return digital(inputs_.drive.running);
        case StationSignal::drive_tripped:
            return digital(inputs_.drive.tripped);
        case StationSignal::drive_in_sync:
            return digital(inputs_.drive.in_sync);
        case StationSignal::drive_output_closed:
            return digital(inputs_.drive.output_closed);
        case StationSignal::drive_frequency:
            return analog(inputs_.drive.frequency_hz);
        case StationSignal::drive_voltage:
            return analog(inputs_.drive.voltage_v);
        case StationSignal::drive_angle:
            return analog(inputs_.drive.angle_deg);
        case StationSignal::plant_time:
        case StationSignal::count:
            break;
    }
    // The plant's clock is no input of the core: what the decoder notes about it goes nowhere.
    return Target{.read_ms = &unused_time_, .quality = &unused_quality_, .cause = &unused_cause_};
}

void FieldDecoder::decode(std::size_t index) {
    const Entry& entry = entries_[index];
    const std::uint16_t* words = last_.data() + entry.word;
    const Target& target = entry.target;
    bool known = true;
    if (entry.goal == Goal::digital) {
        // A flag may also come as a whole register: zero or not.
        const bool raw = entry.type == WordType::bit
                             ? ((*words >> entry.bit) & 1U) != 0
                             : get_words(words, words_of(entry.type), entry.order) != 0;
        *target.on = raw != entry.inverted;
    } else {
        const Number raw = entry.type == WordType::bit
                               ? Number{static_cast<double>((*words >> entry.bit) & 1U), true}
                               : number_of(get_words(words, words_of(entry.type), entry.order), entry.type);
        const double value = raw.value * entry.scale + entry.offset;
        known = raw.known;
        switch (entry.goal) {
            case Goal::number:
                if (known) *target.number = value;
                break;
            case Goal::selector:
                known = known && value >= 0 && value <= 2;
                if (known) *target.selector = static_cast<core::Selector>(static_cast<int>(value));
                        break;
            case Goal::plant_time:
                known = known && value >= 0 && value < plant_time_max_ms;
                if (known) plant_time_ms_ = static_cast<std::int64_t>(value);
                break;
            case Goal::digital:
                break;
        }
    }
    *target.quality = known ? core::Quality::good : core::Quality::bad;
    *target.cause = known ? core::Cause::none : core::Cause::undecodable;
    read_ms_[index] = known ? target.read_ms : &unused_time_;
}

void FieldDecoder::decode_changed_words(std::size_t first_word, std::uint64_t changed) {
    for (std::size_t i = 0; i < 4; ++i) {
        if (((changed >> (16U * i)) & 0xFFFFU) == 0) continue;
        const std::size_t word = first_word + i;
        for (std::uint32_t row = first_of_word_[word]; row < first_of_word_[word + 1]; ++row) {
            decode(entries_of_word_[row]);
        }
    }
}

void FieldDecoder::take(std::size_t block_index, const std::uint16_t* words, std::int64_t read_ms) {
    static_assert(std::endian::native == std::endian::little, "the lowest word of four must stand first");
    const Block& block = blocks_[block_index];
    if (renew_[block_index] != 0) {
        renew_[block_index] = 0;
        std::copy_n(words, block.words, last_.begin() + static_cast<std::ptrdiff_t>(block.first_word));
        for (std::size_t i = block.first_entry; i < block.first_entry + block.entries; ++i) decode(i);
    } else {
        std::uint16_t* last = last_.data() + block.first_word;
        for (std::size_t i = 0; i < block.words; i += 4) {
            std::uint64_t then = 0;
            std::uint64_t now = 0;
            std::memcpy(&then, last + i, sizeof then);
            std::memcpy(&now, words + i, sizeof now);
            if (then == now) continue;
            std::memcpy(last + i, &now, sizeof now);
            decode_changed_words(block.first_word + i, then ^ now);
        }
    }
    renew_times(block_index, read_ms);
}

void FieldDecoder::take_changed(std::size_t block_index, std::span<const std::uint16_t> image,
                                std::span<const std::uint16_t> entries, std::int64_t read_ms) {
    const Block& block = blocks_[block_index];
    if (renew_[block_index] != 0) {
        take(block_index, image.data() + block.first_word, read_ms);
        return;
    }
    for (const std::uint16_t index : entries) {
        if (index - block.first_entry >= block.entries) continue;  // of another block
        const Entry& entry = entries_[index];
        const std::uint16_t* words = image.data() + entry.word;
        std::uint16_t* last = last_.data() + entry.word;
        for (std::size_t i = 0; i < words_of(entry.type); ++i) last[i] = words[i];
        decode(index);
    }
    renew_times(block_index, read_ms);
}

void FieldDecoder::renew_times(std::size_t block_index, std::int64_t read_ms) {
    const Block& block = blocks_[block_index];
    std::int64_t* const* at = read_ms_.data() + block.first_entry;
    const std::size_t entries = block.entries;
#pragma GCC unroll 8
    for (std::size_t i = 0; i < entries; ++i) *at[i] = read_ms;
}

void FieldDecoder::fail(std::size_t block_index, core::Cause cause) {
    const Block& block = blocks_[block_index];
    for (std::size_t i = block.first_entry; i < block.first_entry + block.entries; ++i)
        *entries_[i].target.cause = cause;
    renew_[block_index] = 1;
}

}  // namespace freshet::modbus
