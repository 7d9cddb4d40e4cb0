// The parser of requests and the writer of answers.
// One reason to change: see the header.
#include "hal/modbus/mbap_parser.hpp"

#include <algorithm>
#include <string_view>

#include "hal/modbus/request_limits.hpp"

namespace freshet::modbus {
namespace {

constexpr std::size_t pdu_bytes_max = 253;

std::uint16_t word_at(std::span<const std::uint8_t> bytes, std::size_t at) {
    return static_cast<std::uint16_t>((bytes[at] << 8U) | bytes[at + 1]);
}

void refuse(Request& request, Exception exception) {
    request.kind = RequestKind::refused;
    request.exception = exception;
}

struct ReadFunction {
    std::uint8_t code;
    RequestKind kind;
    config::Table table;
    std::size_t quantity_max;
};
constexpr std::array<ReadFunction, 4> read_functions{{
    {0x01, RequestKind::read_bits, config::Table::coils, bits_per_read_max},
    {0x02, RequestKind::read_bits, config::Table::discrete_inputs, bits_per_read_max},
    {0x03, RequestKind::read_registers, config::Table::holding_registers, registers_per_read_max},
    {0x04, RequestKind::read_registers, config::Table::input_registers, registers_per_read_max},
}};

constexpr std::uint8_t encapsulated = 0x2B;
constexpr std::uint8_t identify_type = 0x0E;

void read_read(std::span<const std::uint8_t> pdu, const ReadFunction& function, Request& request) {
    if (pdu.size() != 5) return refuse(request, Exception::illegal_value);
    request.address = word_at(pdu, 1);
    request.quantity = word_at(pdu, 3);
    if (request.quantity == 0 || request.quantity > function.quantity_max) {
        return refuse(request, Exception::illegal_value);
    }
    request.kind = function.kind;
    request.table = function.table;
}

void read_identify(std::span<const std::uint8_t> pdu, Request& request) {
    if (pdu.size() < 2 || pdu[1] != identify_type) return refuse(request, Exception::illegal_function);
    if (pdu.size() != 4) return refuse(request, Exception::illegal_value);
    request.identify_code = pdu[2];
    request.object = pdu[3];
    if (request.identify_code < 1 || request.identify_code > 4)
        return refuse(request, Exception::illegal_value);
    request.kind = RequestKind::identify;
}

/// Appends to a frame. The parser limits quantities, and therefore the sizes that the caller appends.
class Writer {
  public:
    explicit Writer(std::span<std::uint8_t, frame_bytes_max> out) : out_(out) {}
    void byte(std::size_t value) { out_[size_++] = static_cast<std::uint8_t>(value); }
    void word(std::size_t value) {
        byte(value >> 8U);
        byte(value & 0xFFU);
    }
    void set(std::size_t at, std::size_t value) { out_[at] = static_cast<std::uint8_t>(value); }
    std::size_t size() const { return size_; }
    std::size_t room() const { return out_.size() - size_; }

  private:
    std::span<std::uint8_t, frame_bytes_max> out_;
    std::size_t size_ = 0;
};

Exception write_read(const Request& request, const ReadValues& read, Writer& out) {
    std::array<std::uint16_t, bits_per_read_max> values{};
    const std::span<std::uint16_t> wanted = std::span(values).first(request.quantity);
    const Exception exception = read(request, wanted);
    if (exception != Exception::none) return exception;
    out.byte(request.function);
    if (request.kind == RequestKind::read_registers) {
        out.byte(std::size_t{2} * request.quantity);
        for (const std::uint16_t value : wanted) out.word(value);
        return Exception::none;
    }
    out.byte((request.quantity + 7U) / 8U);
    for (std::size_t first = 0; first < wanted.size(); first += 8) {
        std::size_t packed = 0;
        for (std::size_t i = first; i < std::min(first + 8, wanted.size()); ++i) {
            if (wanted[i] != 0) packed |= std::size_t{1} << (i - first);
        }
        out.byte(packed);
    }
    return Exception::none;
}

/// V1.1b3, 6.21. Conformity 0x82: regular identification, stream and individual access. Only regular objects
/// exist, so an extended stream contains the same objects.
Exception write_identification(const Request& request, const DeviceIdentification& identification,
                               Writer& out) {
    const std::array<std::string_view, 6> objects = {identification.vendor_name,  identification.product_code,
                                                     identification.revision,     identification.vendor_url,
                                                     identification.product_name, identification.model_name};
    const bool individual = request.identify_code == 4;
    const std::size_t last = request.identify_code == 1 ? 3 : objects.size();
    std::size_t object = request.object;
    if (object >= last) {
        if (individual) return Exception::illegal_address;
        object = 0;  // a stream from an unknown object begins with the first object
    }
    const std::size_t end = individual ? object + 1 : last;
    out.byte(encapsulated);
    out.byte(identify_type);
    out.byte(request.identify_code);
    out.byte(0x82);
    const std::size_t more_at = out.size();
    out.byte(0x00);
    out.byte(0x00);
    const std::size_t count_at = out.size();
    out.byte(0);
    std::size_t count = 0;
    for (; object < end; ++object) {
        const std::string_view text = objects[object].substr(0, pdu_bytes_max - 9);
        if (out.room() < text.size() + 2) {
            out.set(more_at, 0xFF);
            out.set(more_at + 1, object);
            break;
        }
        out.byte(object);
        out.byte(text.size());
        for (const char letter : text) out.byte(static_cast<std::uint8_t>(letter));
        ++count;
    }
    out.set(count_at, count);
    return Exception::none;
}

}  // namespace

Parsed parse(std::span<const std::uint8_t> bytes) {
    Parsed parsed;
    // The parser judges the present bytes at once and does not wait for the rest of a wrong header.
    if (bytes.size() >= 4 && word_at(bytes, 2) != 0) {
        parsed.outcome = ParseOutcome::error;
        return parsed;
    }
    if (bytes.size() < 6) return parsed;
    const std::size_t length = word_at(bytes, 4);
    if (length < 2 || length > 1 + pdu_bytes_max) {
        parsed.outcome = ParseOutcome::error;
        return parsed;
    }
    if (bytes.size() < 6 + length) return parsed;
    parsed.outcome = ParseOutcome::request;
    parsed.consumed = 6 + length;
    Request& request = parsed.request;
    request.transaction = word_at(bytes, 0);
    request.unit_id = bytes[6];
    const std::span<const std::uint8_t> pdu = bytes.subspan(header_bytes, length - 1);
    request.function = pdu[0];
    if (request.function == encapsulated) {
        read_identify(pdu, request);
        return parsed;
    }
    for (const ReadFunction& function : read_functions) {
        if (function.code == request.function) {
            read_read(pdu, function, request);
            return parsed;
        }
    }
    refuse(request, Exception::illegal_function);
    return parsed;
}

std::size_t answer(const Request& request, const ReadValues& read, const DeviceIdentification& identification,
                   std::span<std::uint8_t, frame_bytes_max> out) {
    Writer writer(out);
    const auto begin = [&] {
        writer = Writer(out);
        writer.word(request.transaction);
        writer.word(0);
        writer.word(0);
        writer.byte(request.unit_id);
    };
    begin();
    Exception exception = request.exception;
    if (request.kind == RequestKind::identify) {
        exception = write_identification(request, identification, writer);
    } else if (request.kind != RequestKind::refused) {
        exception = write_read(request, read, writer);
    }
    if (exception != Exception::none) {
        begin();
        writer.byte(request.function | 0x80U);
        writer.byte(static_cast<std::size_t>(exception));
    }
    const std::size_t length = writer.size() - 6;
    writer.set(4, length >> 8U);
    writer.set(5, length & 0xFFU);
    return writer.size();
}

}  // namespace freshet::modbus
