// Reads and writes host and port.
// One reason to change: see the header.
#include "hal/service/host_port.hpp"

#include <charconv>

namespace freshet::service {

tl::expected<HostPort, std::string> parse_host_port(const std::string& text) {
    const auto wrong = [&] {
        return tl::unexpected(
            "'" + text + "' is not a host and port; expected HOST:PORT like 127.0.0.1:1502 or [::1]:1502");
    };
    const auto colon = text.rfind(':');
    if (colon == std::string::npos || colon == 0) return wrong();
    HostPort result{text.substr(0, colon), 0};
    if (result.host.front() == '[' && result.host.back() == ']') {
        result.host = result.host.substr(1, result.host.size() - 2);
    } else if (result.host.find(':') != std::string::npos) {
        return wrong();
    }
    const char* const end = text.data() + text.size();
    const auto read = std::from_chars(text.data() + colon + 1, end, result.port);
    if (read.ec != std::errc{} || read.ptr != end || result.host.empty()) return wrong();
    return result;
}

std::string listening_line(const std::string& what, const HostPort& at) {
    return R"({"listening":")" + what + R"(","address":")" + at.host + R"(","port":)" +
           std::to_string(at.port) + "}\n";
}

}  // namespace freshet::service
