// The promises of the request parser and of the answers, for any bytes that a client sends.
// One reason to change: a promise of the parser.
#pragma once

#include <array>
#include <cstdint>
#include <cstdlib>
#include <span>

#include "hal/modbus/mbap_parser.hpp"

namespace freshet::fuzz {

/// Ends the process when a promise is broken, because a fuzzer looks for this end.
inline void require(bool holds) {
    if (!holds) std::abort();
}

/// Passes a stream of bytes through parser and answers, as a connection does.
inline void feed_stream(std::span<const std::uint8_t> bytes) {
    using namespace freshet::modbus;
    const DeviceIdentification identification{"vendor", "code", "1.0", "", "product", "model"};
    const ReadValues values = [](const Request& request, std::span<std::uint16_t> out) {
        require(out.size() == request.quantity && !out.empty());
        require(out.size() <= (request.kind == RequestKind::read_bits ? 2000U : 125U));
        return request.address < 1000 ? Exception::none : Exception::illegal_address;
    };
    std::array<std::uint8_t, frame_bytes_max> out{};
    while (!bytes.empty()) {
        const std::span<const std::uint8_t> front = bytes.first(std::min(bytes.size(), frame_bytes_max));
        const Parsed parsed = parse(front);
        if (parsed.outcome == ParseOutcome::error) return;
        if (parsed.outcome == ParseOutcome::need_more) {
            require(front.size() < frame_bytes_max);  // a full buffer always holds a whole frame or an error
            return;
        }
        require(parsed.consumed >= header_bytes + 1 && parsed.consumed <= front.size());
        const std::size_t size = answer(parsed.request, values, identification, out);
        require(size >= header_bytes + 2 && size <= frame_bytes_max);
        require(out[0] == front[0] && out[1] == front[1] && out[2] == 0 && out[3] == 0 && out[6] == front[6]);
        require(static_cast<std::size_t>(out[4] * 256 + out[5]) == size - 6);
        const bool served = (front[7] >= 1 && front[7] <= 4) || front[7] == 0x2B;
        require(out[7] == front[7] || out[7] == (front[7] | 0x80));
        // Exception 01 answers every write and every other code.
        if (!served) require(size == 9 && out[8] == 1);
        bytes = bytes.subspan(parsed.consumed);
    }
}

}  // namespace freshet::fuzz
