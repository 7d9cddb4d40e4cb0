// The price of energy over the day.
// One reason to change: a contradiction that a tariff can hold.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>

#include "config/engineering/checks.hpp"

namespace freshet::config {

void check_tariff(Findings& findings, const std::vector<TariffBand>& tariff) {
    std::array<int, 24> priced_by{};  // band number from one; zero: none
    for (std::size_t i = 0; i < tariff.size(); ++i) {
        const TariffBand& band = tariff[i];
        if (band.from_h >= band.to_h) {
            refuse(
                findings, fmt::format("tariff[{}].to_hour", i),
                fmt::format("to_hour is {}; expected an hour after from_hour, {}", band.to_h, band.from_h));
            continue;
        }
        for (std::size_t hour = band.from_h; hour < band.to_h; ++hour) {
            if (priced_by.at(hour) != 0) {
                refuse(findings, fmt::format("tariff[{}].from_hour", i),
                       fmt::format("hour {} has two prices; expected bands that do not overlap", hour));
                break;
            }
            priced_by.at(hour) = static_cast<int>(i) + 1;
        }
    }
    const auto* none = std::ranges::find(priced_by, 0);
    if (none != priced_by.end() && findings.empty())
        refuse(
            findings, "tariff",
            fmt::format("hour {} has no price; expected bands that fill the day", none - priced_by.begin()));
}

}  // namespace freshet::config
