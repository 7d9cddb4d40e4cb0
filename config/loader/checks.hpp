// What a station file may say and still make no sense: every check of values against one another.
// One reason to change: a contradiction that a file can hold.
#pragma once

#include "config/loader/reader.hpp"
#include "config/station.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {

/// Each takes a table that was read without error, and what was read from it; faults go to the source.
void check_well(Source& source, const Node& table, const Well& well);
void check_pump(Source& source, const Node& table, const PumpType& pump);
void check_motor(Source& source, const Node& table, const Motor& motor);
void check_main(Source& source, const Node& table, const Main& main);
void check_drive(Source& source, const Node& table, const Drive& drive);
void check_instruments(Source& source, const Node& table, const Instruments& instruments);
void check_tariff(Source& source, const Node& bands, const std::vector<TariffBand>& tariff);
/// Marks in the duty's order, with the words of the duty.
void check_marks(Source& source, const Node& table, const core::Settings& settings);

/// A whole document that was read without error: equipment against equipment, settings against equipment.
void check_station(Source& source, const Node& document, const Station& station,
                   const core::Settings& settings);

/// Settings whose figures follow from the whole station (derive_settings has run): what the hydraulics and
/// the store make impossible, with a suggested value.
void check_service(Source& source, const Node& document, const Station& station,
                   const core::Settings& settings);

}  // namespace freshet::config
