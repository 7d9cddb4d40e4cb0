// A host and a port as people write them on a command line, and as a program reads them from our output.
// One reason to change: the notation.
#pragma once

#include <cstdint>
#include <string>

#include <tl/expected.hpp>

namespace freshet::service {

struct HostPort {
    std::string host;
    std::uint16_t port = 0;
};

/// "127.0.0.1:1502", "[::1]:1502", "plant.example:1502". Errors say what was expected.
tl::expected<HostPort, std::string> parse_host_port(const std::string& text);

/// The one line by which a started program tells which port it got:
/// {"listening":"advice","address":"127.0.0.1","port":40123}
std::string listening_line(const std::string& what, const HostPort& at);

}  // namespace freshet::service
