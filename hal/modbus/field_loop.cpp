// Passes readings through their registers; see the header.
// One reason to change: see the header.
#include "hal/modbus/field_loop.hpp"

#include <algorithm>
#include <cstddef>
#include <span>

namespace freshet::modbus {

FieldLoop::FieldLoop(const FieldPlan& plan)
    : blocks_(plan.blocks),
      schedule_(plan),
      encoder_(plan),
      decoder_(plan),
      compare_(plan.blocks.size(), 0) {}

const core::Inputs& FieldLoop::pass(const config::Readings& readings, std::int64_t now_ms, LinkCondition link,
                                    bool only_clock) {
    if (only_clock) {
        encoder_.nothing_changed();
    } else {
        encoder_.encode(readings);
    }
    schedule_.advance(now_ms);
    if (bad_ || link.cause != core::Cause::none || link.slow_ms != 0) return pass_badly(now_ms, link);
    const std::span<const std::uint16_t> image = encoder_.image();
    const std::size_t blocks = blocks_.size();
    for (std::size_t i = 0; i < blocks; ++i) {
        if (!schedule_.due(blocks_[i].group)) {
            compare_[i] = 1;
        } else if (compare_[i] != 0) {
            compare_[i] = 0;
            decoder_.take(i, image.data() + blocks_[i].first_word, now_ms);
        } else {
            decoder_.take_changed(i, image, encoder_.changed(), now_ms);
        }
    }
    return decoder_.inputs_at(now_ms);
}

const core::Inputs& FieldLoop::pass_badly(std::int64_t now_ms, LinkCondition link) {
    std::fill(compare_.begin(), compare_.end(), std::uint8_t{1});
    const bool silent = link.cause != core::Cause::none;
    bad_ = silent || link.slow_ms != 0;
    const LateImages::Shown shown = late_.pass(encoder_.image(), now_ms, silent ? 0 : link.slow_ms);
    const auto due = [this](const Block& block) { return schedule_.due(block.group); };
    const bool asked = std::any_of(blocks_.begin(), blocks_.end(), due);
    for (std::size_t i = 0; i < blocks_.size(); ++i) {
        if (silent && asked) {
            decoder_.fail(i, link.cause);
        } else if (!silent && due(blocks_[i])) {
            decoder_.take(i, shown.image.data() + blocks_[i].first_word, shown.time_ms);
        }
    }
    return decoder_.inputs_at(now_ms);
}

}  // namespace freshet::modbus
