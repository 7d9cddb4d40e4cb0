// The printed maps: the meaning of each register, with the zero-based address and the traditional reference
// side by side. One reason to change: a column of the printed maps.
#pragma once

#include <string>

#include "config/field_map.hpp"

namespace freshet::command {

enum class MapForm : std::uint8_t { csv, markdown, json };

/// The advice map, from its table.
std::string advice_map_document(MapForm form);
/// A site's field map, sorted by unit, table and address.
std::string field_map_document(const config::FieldMap& map, MapForm form);

}  // namespace freshet::command
