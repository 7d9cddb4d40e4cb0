// One Modbus TCP request out of a stream of bytes, and the answer's bytes: pure, bounded, without a socket.
// One reason to change: a function code that we serve.
//
// Served: 01 to 04 (reads) and 43/14 (device identification). Exception 01 answers every other function code,
// all writes included. The checks have the order of the MODBUS Application Protocol Specification V1.1b3,
// figures 11 to 14: function code (01), quantity (03), address (02).
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>
#include <string>

#include "config/field_map.hpp"

namespace freshet::modbus {

inline constexpr std::size_t frame_bytes_max = 260;  ///< V1.1b3, 4.1: 253 bytes of PDU and 7 of MBAP header
inline constexpr std::size_t header_bytes = 7;       ///< transaction 2, protocol 2, length 2, unit 1

enum class Exception : std::uint8_t {
    none = 0,
    illegal_function = 1,
    illegal_address = 2,
    illegal_value = 3,
    device_failure = 4,
    no_answer_behind = 11
};

enum class RequestKind : std::uint8_t { read_bits, read_registers, identify, refused };

struct Request {
    std::uint16_t transaction = 0;
    std::uint8_t unit_id = 0;
    std::uint8_t function = 0;
    RequestKind kind = RequestKind::refused;
    Exception exception = Exception::none;  ///< of a refused request
    config::Table table = config::Table::input_registers;
    std::uint16_t address = 0, quantity = 0;     ///< of a read
    std::uint8_t identify_code = 0, object = 0;  ///< of 43/14
};

enum class ParseOutcome : std::uint8_t { need_more, request, error };

/// `error` means that the rest of the stream cannot be trusted: close the connection without an answer.
struct Parsed {
    ParseOutcome outcome = ParseOutcome::need_more;
    std::size_t consumed = 0;  ///< bytes of the request
    Request request;
};

/// Parses the request at the front of `bytes`. Never reads past the end. Needs at most frame_bytes_max bytes.
Parsed parse(std::span<const std::uint8_t> bytes);

/// The identification of a server (43/14): the three basic objects and three regular ones.
struct DeviceIdentification {
    std::string vendor_name, product_code, revision, vendor_url, product_name, model_name;
};

/// Fills the values of an answer: registers unchanged, bits one per word as 0 or 1. A result other than
/// `none` is the exception for the answer.
using ReadValues = std::function<Exception(const Request&, std::span<std::uint16_t>)>;

/// Writes the bytes of the answer and returns their number.
std::size_t answer(const Request& request, const ReadValues& read, const DeviceIdentification& identification,
                   std::span<std::uint8_t, frame_bytes_max> out);

}  // namespace freshet::modbus
