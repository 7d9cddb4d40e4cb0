// Which clients a server lets in, by their address.
// One reason to change: how an allowed client is written, or how its address is compared.
#pragma once

#include <string>

namespace freshet::modbus {

/// Why this is neither an address ("192.0.2.7") nor a network in CIDR notation ("192.0.2.0/24", RFC 4632; IPv6
/// likewise, RFC 4291); empty where it is one of them.
std::string allow_refusal(const std::string& address_or_network);

/// Whether an address is the allowed one, or lies in the allowed network. False where either cannot be read,
/// and where one is of IPv4 and the other of IPv6. An IPv6 scope ("%eth0") does not count.
bool lies_in(const std::string& address_or_network, const std::string& address);

}  // namespace freshet::modbus
