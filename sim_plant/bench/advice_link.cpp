// Passes advice through its registers, as declared in the header.
// One reason to change: see there.
#include "sim_plant/bench/advice_link.hpp"

#include <span>

namespace freshet::bench {

void AdviceLink::renew(const core::Advice& advice, std::uint64_t switches) {
    constexpr const modbus::AdviceBlock& block = modbus::advice_block("advice");
    const modbus::AdviceImage& image = encoder_.encode(advice, core::never_ms);
    orders_ = orders_from(modbus::decode_advice(std::span{image}.subspan(block.address, block.count)));
    switches_ = switches;
    speed_hz_ = advice.speed_hz;
}

}  // namespace freshet::bench
