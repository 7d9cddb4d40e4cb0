// Decodes the blocks of a field plan.
// One reason to change: see the header.
#include "hal/modbus/field_decoder.hpp"

#include <algorithm>
#include <bit>
#include <cstring>
#include <limits>

#include "hal/modbus/word_codec.hpp"

namespace freshet::modbus {
namespace {

/// The end of the year 9999. A later time is not a plant clock.
constexpr double plant_time_max_ms = 253'402'300'800'000;

}  // namespace

using config::FieldEntry;
using config::SignalIndex;
using config::StationSignal;
using config::WordType;

FieldDecoder::FieldDecoder(const FieldPlan& plan)
    : blocks_(plan.blocks),
      readings_(plan.blocks.size()),
      first_of_word_(plan.image_words + 1, 0),
      last_(plan.image_words, 0),
      renew_(plan.blocks.size(), 1) {
    // No signal is fitted until the map names the signal.
    for (std::size_t signal = 0; signal < config::signal_count; ++signal) {
        *input_of(static_cast<SignalIndex>(signal)).cause = core::Cause::not_fitted;
    }
    for (std::uint32_t block = 0; block < blocks_.size(); ++block)
        for (std::size_t i = 0; i < blocks_[block].entries; ++i)
            add_entry(plan.entries[blocks_[block].first_entry + i], block);
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

void FieldDecoder::add_entry(const PlannedEntry& planned, std::uint32_t block) {
    const FieldEntry& field = planned.field;
    Entry entry{field.scale,
                field.offset,
                input_of(field.signal),
                static_cast<std::uint32_t>(planned.word),
                block,
                Goal::number,
                field.type,
                field.order,
                planned.bit,
                field.inverted};
    if (field.signal == config::index_of(StationSignal::plant_time)) entry.goal = Goal::plant_time;
    if (entry.target.on != nullptr) entry.goal = Goal::digital;
    if (entry.target.selector != nullptr) entry.goal = Goal::selector;
    *entry.target.cause = core::Cause::never_read;
    ages_.push_back(entry.target.age_ms);
    entries_.push_back(entry);
}

InputTarget FieldDecoder::input_of(SignalIndex signal) {
    // The plant's clock is not an input of the core, so its age, quality and cause are dropped.
    const InputTarget nowhere{.age_ms = &unused_age_, .quality = &unused_quality_, .cause = &unused_cause_};
    return target_of(inputs_, signal).value_or(nowhere);
}

void FieldDecoder::decode(std::size_t index) {
    const Entry& entry = entries_[index];
    const std::uint16_t* words = last_.data() + entry.word;
    const InputTarget& target = entry.target;
    bool known = true;
    if (entry.goal == Goal::digital) {
        // A flag may also be a whole register: zero is off.
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
    const bool shows_block_age = ages_[index] == target.age_ms;
    if (known != shows_block_age) date(index, known);
}

/// Gives a signal the age of its block, or, without a value, the age of its last value.
void FieldDecoder::date(std::size_t index, bool known) {
    const Entry& entry = entries_[index];
    std::int32_t* const own = entry.target.age_ms;
    const Reading& reading = readings_[entry.block];
    if (own == &unused_age_) return;
    if (known) {
        std::erase_if(undecodable_, [own](const Undecodable& one) { return one.age_ms == own; });
        *own = reading.age_ms;
        ages_[index] = own;
    } else {
        undecodable_.push_back({own, reading.read_ms});
        ages_[index] = &unused_age_;
    }
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
    static_assert(std::endian::native == std::endian::little, "the lowest word of four must come first");
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
    readings_[block_index].read_ms = read_ms;
}

void FieldDecoder::decode_changed(std::size_t block_index, std::span<const std::uint16_t> image,
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
    readings_[block_index].read_ms = read_ms;
}

void FieldDecoder::write_ages(std::size_t block_index, std::int32_t age_ms) {
    const Block& block = blocks_[block_index];
    readings_[block_index].age_ms = age_ms;
    std::int32_t* const* at = ages_.data() + block.first_entry;
    const std::size_t entries = block.entries;
#pragma GCC unroll 8
    for (std::size_t i = 0; i < entries; ++i) *at[i] = age_ms;
}

void FieldDecoder::fail(std::size_t block_index, core::Cause cause) {
    const Block& block = blocks_[block_index];
    for (std::size_t i = block.first_entry; i < block.first_entry + block.entries; ++i)
        *entries_[i].target.cause = cause;
    renew_[block_index] = 1;
}

}  // namespace freshet::modbus
