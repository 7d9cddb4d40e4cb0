// Quantities as the published rules print them. One reason to change: how a test reads such a quantity.
#pragma once

#include <string_view>

#include "config/loader/units.hpp"

namespace freshet::config {

/// Opened once: it reads the units database.
inline const Units& units() {
    static const auto opened = Units::open();
    return opened.value();
}
inline double flow(std::string_view text) {
    return units().si(text, Quantity::flow).value();
}

}  // namespace freshet::config
