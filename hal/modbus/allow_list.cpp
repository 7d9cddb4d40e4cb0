// Addresses and networks as Asio reads them; see the header.
// One reason to change: how an allowed client is written, or how its address is compared.
#include "hal/modbus/allow_list.hpp"

#include <optional>
#include <variant>

#include <boost/asio/ip/address.hpp>
#include <boost/asio/ip/network_v4.hpp>
#include <boost/asio/ip/network_v6.hpp>

#include <fmt/format.h>

namespace freshet::modbus {
namespace {

namespace ip = boost::asio::ip;

using Network = std::variant<ip::network_v4, ip::network_v6>;

/// A single address is a network with the longest prefix.
std::optional<Network> network_of(const std::string& text) {
    // Asio takes a prefix of any number of digits, and 4294967296 for 0, which would let everybody in.
    constexpr std::size_t prefix_digits_max = 3;
    const auto slash = text.find('/');
    if (slash != std::string::npos && text.size() - slash - 1 > prefix_digits_max) return std::nullopt;
    boost::system::error_code error;
    const bool is_v4 = ip::make_address(text.substr(0, slash), error).is_v4();
    if (error) return std::nullopt;
    const std::string whole = slash != std::string::npos ? text : text + (is_v4 ? "/32" : "/128");
    const Network network =
        is_v4 ? Network(ip::make_network_v4(whole, error)) : Network(ip::make_network_v6(whole, error));
    return error ? std::nullopt : std::optional(network);
}

}  // namespace

std::string allow_refusal(const std::string& address_or_network) {
    if (network_of(address_or_network)) return {};
    return fmt::format(
        "'{}' is neither an address nor a network; expected one like 192.0.2.7 or 192.0.2.0/24",
        address_or_network);
}

bool lies_in(const std::string& address_or_network, const std::string& address) {
    const auto allowed = network_of(address_or_network);
    boost::system::error_code error;
    const ip::address given = ip::make_address(address, error);
    if (!allowed || error) return false;
    if (const auto* v4 = std::get_if<ip::network_v4>(&*allowed))
        return given.is_v4() && ip::network_v4(given.to_v4(), v4->prefix_length()).network() == v4->network();
    const auto& v6 = std::get<ip::network_v6>(*allowed);
    return given.is_v6() &&
           ip::network_v6(given.to_v6(), v6.prefix_length()).network().to_bytes() == v6.network().to_bytes();
}

}  // namespace freshet::modbus
