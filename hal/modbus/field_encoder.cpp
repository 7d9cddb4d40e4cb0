// Writes readings into the image of a field plan.
// One reason to change: see the header.
#include "hal/modbus/field_encoder.hpp"

#include <algorithm>
#include <bit>

namespace freshet::modbus {

using config::FieldEntry;
using config::WordType;

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
    // Most readings are equal in two scans, so four readings are compared at once.
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

}  // namespace freshet::modbus
