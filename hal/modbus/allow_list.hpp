// The clients that a server admits, by their address.
// One reason to change: how an allowed client is written, or how its address is compared.
#pragma once

#include <string>

namespace freshet::modbus {

/// The reason why a text is neither an address ("192.0.2.7") nor a network in CIDR notation ("192.0.2.0/24",
/// RFC 4632; IPv6 in the same way, RFC 4291). Empty when the text is an address or a network.
std::string allow_refusal(const std::string& address_or_network);

/// Whether an address is the allowed address, or is in the allowed network. False when one of the two cannot
/// be read, and when one is IPv4 and the other IPv6. An IPv6 scope ("%eth0") is ignored.
bool lies_in(const std::string& address_or_network, const std::string& address);

}  // namespace freshet::modbus
