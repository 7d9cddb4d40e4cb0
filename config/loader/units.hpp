// Quantities with units: "4.2 m", "5500 gpm", "155 degC" to SI, dimension-checked.
// One reason to change: a kind of quantity that our files use.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

#include <tl/expected.hpp>

namespace freshet::config {

/// The US liquid gallon: 231 cubic inches, the inch being 25.4 mm.
inline constexpr double us_gallon_m3 = 231 * 0.0254 * 0.0254 * 0.0254;

/// Kinds of quantity; the comment is the unit inside the program.
enum class Quantity : std::uint8_t {
    length,          // m, also levels and heads
    area,            // m2
    volume,          // m3
    flow,            // m3/s
    velocity,        // m/s, also rates of level
    rotation,        // rpm: turns are a dimension of their own, so that 1775 rpm does not become 186 Hz
    frequency,       // Hz
    frequency_rate,  // Hz/s
    duration,        // s
    power,           // W
    apparent_power,  // VA
    voltage,         // V
    current,         // A
    resistance,      // ohm
    inertia,         // kg m2
    branch_loss,     // s2/m5
    density,         // kg/m3
    viscosity,       // m2/s, kinematic
    pressure,        // Pa
    temperature,     // K
    angle,           // deg, likewise a dimension of its own
    ratio,           // 1; a plain number or a percentage
    count
};

/// "a flow, such as \"350 L/s\" or \"5500 gpm\"": for messages.
std::string_view description_of(Quantity quantity);
/// "m3/s": the unit of the value inside the program.
std::string_view si_symbol_of(Quantity quantity);

/// A units database. Making one reads the files of UDUNITS-2, which takes about ten milliseconds. US
/// customary units are defined here and do not follow the database: gal is the US liquid gallon (231 cubic
/// inches exactly; UDUNITS takes "gal" for the unit of acceleration), gpm and mgd follow it, hp is the
/// mechanical horsepower of 550 ft lbf/s, ft and in are international, the acre is 43,560 international
/// square feet.
class Units {
  public:
    /// Errors: the database is not installed or cannot be read.
    static tl::expected<Units, std::string> open();

    Units(Units&&) noexcept;
    Units& operator=(Units&&) noexcept;
    ~Units();

    /// The SI value of a number and a unit. Errors: what is wrong with the text, and what is expected.
    tl::expected<double, std::string> si(std::string_view text, Quantity quantity) const;

    /// A number and a unit, converted to another unit: the number as a difference, and the zero of the
    /// number's own unit. "0.1 degC" in K gives 0.1 and 273.15. Errors as above; messages end with
    /// `expected`.
    struct Linear {
        double factor = 0, zero = 0;
    };
    tl::expected<Linear, std::string> linear(std::string_view text, std::string_view unit,
                                             std::string_view expected) const;

  private:
    struct Database;
    explicit Units(std::unique_ptr<Database> database);
    std::unique_ptr<Database> database_;
};

}  // namespace freshet::config
