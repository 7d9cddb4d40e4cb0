// Passes advice through its registers, as declared in the header.
// One reason to change: see there.
#include "sim_plant/bench/advice_link.hpp"

#include <cstdint>
#include <span>

#include "hal/modbus/advice_decoder.hpp"
#include "hal/modbus/advice_map.hpp"
#include "hal/modbus/word_codec.hpp"

namespace freshet::bench {

void AdviceLink::renew(const core::Advice& advice) {
    constexpr const modbus::AdviceBlock& block = modbus::advice_block("advice");
    const modbus::AdviceImage& image = encoder_.encode(advice, core::never_ms);
    const modbus::AdviceRead read =
        modbus::decode_advice(std::span{image}.subspan(block.address, block.count));
    if (asks(read)) orders_ = orders_from(read);
    speed_hz_ = advice.speed_hz;
}

void AdviceLink::renew_speed(double speed_hz) {
    constexpr const modbus::AdviceRegister& at = modbus::advice_register("drive.speed");
    const std::uint64_t raw = modbus::raw_of(speed_hz / at.scale, at.type);
    const modbus::Number read = modbus::number_of(raw, at.type);
    orders_.speed_hz = read.known ? read.value * at.scale : 0;
    speed_hz_ = speed_hz;
}

}  // namespace freshet::bench
