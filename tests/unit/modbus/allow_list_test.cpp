// Which addresses an allowed network holds.
// Sources: RFC 4632, section 3.1 (a prefix of n bits: 172.16.0.0/12 reaches from 172.16.0.0 to 172.31.255.255;
// RFC 1918, section 3, gives the same bounds); RFC 4291, section 2.3 (the legal and the illegal forms of
// 2001:db8:0:cd30::/60); RFC 3849 and RFC 5737 (the addresses set apart for examples).
// One reason to change: how an allowed client is written, or how its address is compared.
#include "hal/modbus/allow_list.hpp"

#include <gtest/gtest.h>

namespace freshet::modbus {
namespace {

TEST(AllowedNetwork, holds_the_addresses_that_share_its_prefix) {
    EXPECT_TRUE(lies_in("172.16.0.0/12", "172.16.0.0"));
    EXPECT_TRUE(lies_in("172.16.0.0/12", "172.31.255.255"));
    EXPECT_FALSE(lies_in("172.16.0.0/12", "172.15.255.255"));
    EXPECT_FALSE(lies_in("172.16.0.0/12", "172.32.0.0"));
    EXPECT_TRUE(lies_in("2001:db8:0:cd30::/60", "2001:db8:0:cd3f::1"));
    EXPECT_FALSE(lies_in("2001:db8:0:cd30::/60", "2001:db8:0:cd40::1"));
}
TEST(AllowedNetwork, may_be_written_with_an_address_inside_it) {
    EXPECT_TRUE(lies_in("192.0.2.7/24", "192.0.2.200"));
    EXPECT_TRUE(lies_in("2001:db8:0:cd30:123:4567:89ab:cdef/60", "2001:db8:0:cd30::1"));
}
TEST(AllowedNetwork, of_prefix_0_holds_every_address_of_its_version) {
    EXPECT_TRUE(lies_in("0.0.0.0/0", "203.0.113.9"));
    EXPECT_FALSE(lies_in("0.0.0.0/0", "2001:db8::1"));
    EXPECT_TRUE(lies_in("::/0", "2001:db8::1"));
    EXPECT_FALSE(lies_in("::/0", "203.0.113.9"));
}
TEST(AllowedNetwork, does_not_care_by_which_interface_a_link_local_client_comes) {
    EXPECT_TRUE(lies_in("fe80::/10", "fe80::1%1"));
    EXPECT_TRUE(lies_in("fe80::1", "fe80::1%1"));
}
TEST(AllowedAddress, holds_itself_alone) {
    EXPECT_TRUE(lies_in("192.0.2.7", "192.0.2.7"));
    EXPECT_FALSE(lies_in("192.0.2.7", "192.0.2.8"));
    EXPECT_TRUE(lies_in("2001:db8::7", "2001:db8::7"));
    EXPECT_FALSE(lies_in("2001:db8::7", "2001:db8::8"));
}
TEST(AllowedNetwork, is_refused_in_one_line_when_it_cannot_be_read) {
    for (const char* text :
         {"", "/", "/24", "192.0.2", "300.1.1.1", "10.0.0.0/", "10.0.0.0/33", "10.0.0.0/-1", "10.0.0.0/8/8",
          "10.0.0.0/+8", "10.0.0.0/ 8", "10.0.0.0/4294967296", "10.0.0.0/08x", "2001:db8::/129",
          "2001:db8:0:cd3/60", "somewhere"}) {
        EXPECT_EQ(allow_refusal(text),
                  "'" + std::string(text) +
                      "' is neither an address nor a network; expected one like 192.0.2.7 "
                      "or 192.0.2.0/24");
        EXPECT_FALSE(lies_in(text, "10.0.0.1"));
    }
    EXPECT_EQ(allow_refusal("192.0.2.0/24"), "");
    EXPECT_EQ(allow_refusal("2001:db8::/32"), "");
}

}  // namespace
}  // namespace freshet::modbus
