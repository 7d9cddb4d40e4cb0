// Our quantities by the units database UDUNITS-2.
// One reason to change: the units library, or a US customary unit that people write.
#include "config/loader/units.hpp"

#include <fmt/format.h>
#include <udunits2.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <vector>

namespace freshet::config {
// Named, because Units::Database has members of these types and must not depend on an unnamed namespace.
namespace udunits {

struct UnitDeleter {
    void operator()(ut_unit* unit) const { ut_free(unit); }
};
using Unit = std::unique_ptr<ut_unit, UnitDeleter>;

struct SystemDeleter {
    void operator()(ut_system* system) const { ut_free_system(system); }
};

}  // namespace udunits

namespace {

using udunits::Unit;

struct QuantityRow {
    const char* unit;
    std::string_view description;
};

constexpr std::array<QuantityRow, static_cast<std::size_t>(Quantity::count)> quantities{{
    {"m", R"(a length, level or head, such as "4.2 m" or "14 ft")"},
    {"m2", R"(an area, such as "120 m2" or "640 acre")"},
    {"m3", R"(a volume, such as "150 m3" or "40000 gal")"},
    {"m3/s", R"(a flow, such as "350 L/s" or "5500 gpm")"},
    {"m/s", R"(a velocity, such as "1.2 m/s" or "4 ft/s")"},
    {"rpm", R"(a rotational speed, such as "1775 rpm")"},
    {"Hz", R"(a frequency, such as "60 Hz")"},
    {"Hz/s", R"(a rate of frequency, such as "2 Hz/s")"},
    {"s", R"(a time, such as "90 s" or "15 min")"},
    {"W", R"(a power, such as "375 kW" or "500 hp")"},
    {"VA", R"(an apparent power, such as "150 MVA")"},
    {"V", R"(a voltage, such as "2300 V" or "4.16 kV")"},
    {"A", R"(a current, such as "105 A")"},
    {"ohm", R"(a resistance or reactance, such as "0.26 ohm")"},
    {"kg m2", R"(a moment of inertia, such as "11 kg m2" or "260 lb ft2")"},
    {"s2/m5", R"(a loss coefficient in h = k Q^2, such as "4 s2/m5")"},
    {"kg/m3", R"(a density, such as "998 kg/m3")"},
    {"m2/s", R"(a kinematic viscosity, such as "1.0e-6 m2/s" or "1 cSt")"},
    {"Pa", R"(a pressure, such as "2.3 kPa" or "60 psi")"},
    {"K", R"(a temperature, such as "155 degC" or "311 degF")"},
    {"deg", R"(an angle, such as "10 deg")"},
    {"1", R"(a ratio, such as 0.84 or "84 %")"},
}};

struct ConverterDeleter {
    void operator()(cv_converter* converter) const { cv_free(converter); }
};

struct Definition {
    const char* name;
    double factor;
    const char* unit;
};

// 1 ft = 0.3048 m and 1 lb = 0.45359237 kg exactly (international yard and pound, 1959); the US gallon is 231
// cubic inches; 1 hp = 550 ft lbf/s with standard gravity 9.80665 m/s2.
constexpr double horsepower_w = 550 * 0.3048 * 0.45359237 * 9.80665;
constexpr std::array definitions{
    Definition{"gal", us_gallon_m3, "m3"},
    Definition{"gallon", us_gallon_m3, "m3"},
    Definition{"gallons", us_gallon_m3, "m3"},
    Definition{"gpm", us_gallon_m3 / 60, "m3/s"},
    Definition{"mgd", us_gallon_m3 * 1e6 / 86400, "m3/s"},
    Definition{"MGD", us_gallon_m3 * 1e6 / 86400, "m3/s"},
    Definition{"cfs", 0.3048 * 0.3048 * 0.3048, "m3/s"},
    Definition{"hp", horsepower_w, "W"},
    Definition{"HP", horsepower_w, "W"},
    Definition{"horsepower", horsepower_w, "W"},
    Definition{"acre", 43560 * 0.3048 * 0.3048, "m2"},
    Definition{"acres", 43560 * 0.3048 * 0.3048, "m2"},
    Definition{"rpm", 1, "revolution/minute"},
    Definition{"degrees", 1, "degree"},
    Definition{"deg", 1, "degree"},
    Definition{"°", 1, "degree"},
};

Unit parsed(const ut_system* system, const std::string& text) {
    return Unit(ut_parse(system, text.c_str(), UT_UTF8));
}

/// Our definition replaces a name that the database uses for something else.
bool define(ut_system* system, const char* name, const ut_unit* unit) {
    for (const ut_encoding encoding : {UT_ASCII, UT_UTF8, UT_LATIN1}) {
        ut_unmap_name_to_unit(system, name, encoding);
        ut_unmap_symbol_to_unit(system, name, encoding);
    }
    return ut_map_name_to_unit(name, UT_UTF8, unit) == UT_SUCCESS;
}

bool define_ours(ut_system* system) {
    const Unit revolution(ut_new_base_unit(system));
    const Unit degree(ut_new_base_unit(system));
    if (!define(system, "revolution", revolution.get()) || !define(system, "degree", degree.get()))
        return false;
    return std::ranges::all_of(definitions, [&](const Definition& definition) {
        const Unit base = parsed(system, definition.unit);
        const Unit unit(base ? ut_scale(definition.factor, base.get()) : nullptr);
        return unit && define(system, definition.name, unit.get());
    });
}

/// A unit is letters, digits, powers, products and quotients. Offsets ("m @ 3"), origins in time ("s since
/// ...") and logarithms, which UDUNITS also reads, are refused.
bool is_plain(std::string_view unit) {
    const auto plain = [](char c) {
        const auto byte = static_cast<unsigned char>(c);
        return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || byte >= 0x80 ||
               std::string_view(" ^*/.-%_").find(c) != std::string_view::npos;
    };
    if (!std::ranges::all_of(unit, plain) || (unit.front() >= '0' && unit.front() <= '9')) return false;
    for (const std::string_view word : {"since", "after", "from", "ref"})
        if (unit.find(word) != std::string_view::npos) return false;
    return true;
}

}  // namespace

std::string_view description_of(Quantity quantity) {
    return quantities.at(static_cast<std::size_t>(quantity)).description;
}

std::string_view si_symbol_of(Quantity quantity) {
    if (quantity == Quantity::ratio) return "";
    return quantities.at(static_cast<std::size_t>(quantity)).unit;
}

struct Units::Database {
    std::unique_ptr<ut_system, udunits::SystemDeleter> system;
    std::vector<udunits::Unit> si;  ///< by Quantity
};

Units::Units(std::unique_ptr<Database> database) : database_(std::move(database)) {}
Units::Units(Units&&) noexcept = default;
Units& Units::operator=(Units&&) noexcept = default;
Units::~Units() = default;

tl::expected<Units, std::string> Units::open() {
    ut_set_error_message_handler(ut_ignore);  // else UDUNITS writes to the terminal of the caller
    auto database = std::make_unique<Database>();
    database->system.reset(ut_read_xml(nullptr));
    if (!database->system)
        return tl::unexpected(std::string(
            "the units database of UDUNITS-2 cannot be read; Debian's package is libudunits2-data"));
    if (!define_ours(database->system.get()))
        return tl::unexpected(
            std::string("the units database of UDUNITS-2 refuses the units that this program adds"));
    for (const QuantityRow& row : quantities) {
        database->si.push_back(parsed(database->system.get(), row.unit));
        if (!database->si.back())
            return tl::unexpected(fmt::format("the units database of UDUNITS-2 does not know {}", row.unit));
    }
    return Units(std::move(database));
}

namespace {

/// A number and its unit, separated.
struct Parts {
    double number = 0;
    std::string unit;
};

tl::expected<Parts, std::string> parts_of(std::string_view text) {
    Parts parts;
    const auto [rest, failure] = std::from_chars(text.data(), text.data() + text.size(), parts.number);
    if (failure != std::errc() || !std::isfinite(parts.number))
        return tl::unexpected(fmt::format("\"{}\" does not begin with a number", text));
    parts.unit.assign(rest, text.data() + text.size());
    parts.unit.erase(0, parts.unit.find_first_not_of(' '));
    while (!parts.unit.empty() && parts.unit.back() == ' ') parts.unit.pop_back();
    return parts;
}

using Converter = std::unique_ptr<cv_converter, ConverterDeleter>;

tl::expected<Converter, std::string> converter_of(const ut_system* system, std::string_view text,
                                                  const std::string& unit, ut_unit* to) {
    if (unit.empty()) return tl::unexpected(fmt::format("\"{}\" has no unit", text));
    const Unit from = is_plain(unit) ? parsed(system, unit) : Unit();
    if (!from) return tl::unexpected(fmt::format("\"{}\" is not a known unit", unit));
    Converter converter(ut_are_convertible(from.get(), to) != 0 ? ut_get_converter(from.get(), to) : nullptr);
    if (!converter) return tl::unexpected(fmt::format("\"{}\" has the wrong unit", text));
    return converter;
}

}  // namespace

tl::expected<double, std::string> Units::si(std::string_view text, Quantity quantity) const {
    const auto refused = [&](const std::string& wrong) {
        return tl::unexpected(fmt::format("{}; expected {}", wrong, description_of(quantity)));
    };
    const auto parts = parts_of(text);
    if (!parts) return refused(parts.error());
    if (parts->unit.empty() && quantity == Quantity::ratio) return parts->number;
    const auto converter = converter_of(database_->system.get(), text, parts->unit,
                                        database_->si.at(static_cast<std::size_t>(quantity)).get());
    if (!converter) return refused(converter.error());
    const double value = cv_convert_double(converter->get(), parts->number);
    if (!std::isfinite(value)) return refused(fmt::format("\"{}\" is too large", text));
    return value;
}

tl::expected<Units::Linear, std::string> Units::linear(std::string_view text, std::string_view unit,
                                                       std::string_view expected) const {
    const auto refused = [&](const std::string& wrong) {
        return tl::unexpected(fmt::format("{}; expected {}", wrong, expected));
    };
    const auto parts = parts_of(text);
    if (!parts) return refused(parts.error());
    const Unit to = parsed(database_->system.get(), std::string(unit));
    if (!to) return refused(fmt::format("\"{}\" is not a known unit", unit));
    const auto converter = converter_of(database_->system.get(), text, parts->unit, to.get());
    if (!converter) return refused(converter.error());
    const double zero = cv_convert_double(converter->get(), 0);
    return Linear{cv_convert_double(converter->get(), parts->number) - zero, zero};
}

}  // namespace freshet::config
