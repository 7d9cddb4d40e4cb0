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

/// Reads "127.0.0.1:1502", "[::1]:1502", "plant.example:1502". The error names the expected form.
tl::expected<HostPort, std::string> parse_host_port(const std::string& text);

/// The line in which a started program reports its port:
/// {"listening":"advice","address":"127.0.0.1","port":40123}
std::string listening_line(const std::string& what, const HostPort& at);

}  // namespace freshet::service
