// Plain descriptions of a station's equipment in SI units, as the loader reads them.
// One reason to change: the equipment that a station file can describe.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

namespace freshet::config {

/// The task of a station. Emptying lowers a level that inflow raises. Filling raises a level that demand
/// lowers. The third duty holds a header pressure against a demand.
enum class Duty : std::uint8_t { empty_well, fill_tank, hold_pressure };

/// One point of a stage-storage table. Levels rise strictly, volumes rise strictly.
struct StoragePoint {
    double level_m = 0;    ///< above the station datum
    double volume_m3 = 0;  ///< stored below that level
};

/// The free-surface store that the duty watches: a wet well, or a tank.
struct Well {
    std::vector<StoragePoint> storage;   ///< at least two points; the first is the floor
    double overflow_level_m = 0;         ///< crest of the overflow weir
    double overflow_width_m = 0;         ///< crest length
    double overflow_coefficient = 1.84;  ///< C in Q = C b H^1.5, m^0.5/s (suppressed sharp crest)
    double suction_level_m = 0;          ///< pump suction centre line
    double vortex_level_m = 0;           ///< below this level a pump draws air
};

/// One point of a pump's catalogue curve at rated speed.
struct PumpPoint {
    double flow_m3s = 0;
    double head_m = 0;      ///< falls strictly with flow
    double efficiency = 0;  ///< 0..1, hydraulic power over shaft power
    double npshr_m = 0;
};

struct PumpType {
    std::vector<PumpPoint> curve;  ///< three or more points, flow rising from zero
    double rated_speed_rpm = 0;
    double minimum_flow_m3s = 0;   ///< minimum continuous flow at rated speed
    double inertia_kgm2 = 0;       ///< impeller and water, without the motor
    double branch_loss_s2m5 = 0;   ///< suction, branch and valve loss h = k Q^2
    double valve_closing_s = 0.3;  ///< non-return valve
};

/// How a reach loses head.
enum class Friction : std::uint8_t { darcy_weisbach, hazen_williams };

struct Reach {
    double length_m = 0;
    double diameter_m = 0;
    Friction friction = Friction::darcy_weisbach;
    double roughness_m = 0;       ///< Darcy-Weisbach: equivalent sand roughness
    double hazen_williams_c = 0;  ///< Hazen-Williams: C
    double minor_loss_k = 0;      ///< sum of K in h = K v^2/2g
    double wave_speed_ms = 1000;  ///< for the surge figure only
};

struct Main {
    std::vector<Reach> reaches;
    double discharge_level_m = 0;  ///< level of the main's outlet, above the station datum
};

struct Fluid {
    double density_kgm3 = 998.2;
    double viscosity_m2s = 1.004e-6;  ///< kinematic
    double vapour_pressure_pa = 2339;
};

/// Per-phase equivalent circuit at rated frequency, star, referred to the stator.
struct MotorCircuit {
    double rs_ohm = 0, xls_ohm = 0, xm_ohm = 0, xlr_ohm = 0, rr_ohm = 0;
    /// Optional deep-bar rise of rotor resistance and fall of its leakage at standstill; 1 = none.
    double rr_standstill_ratio = 1, xlr_standstill_ratio = 1;
};

struct Nameplate {
    double power_w = 0, voltage_v = 0, frequency_hz = 0, speed_rpm = 0, current_a = 0, power_factor = 0,
           efficiency = 0, locked_rotor_current_ratio = 0, locked_rotor_torque_ratio = 0,
           breakdown_torque_ratio = 0;
};

struct Motor {
    std::string name;
    Nameplate
        nameplate;  ///< power, voltage, frequency always; other figures may be zero when a circuit is given
    bool has_circuit = false;  ///< false: the plant estimates the circuit from the nameplate
    MotorCircuit circuit;
    std::uint8_t poles = 4;
    double inertia_kgm2 = 0;
    double friction_loss_w = 0;  ///< windage and friction at rated speed
    double core_loss_w = 0;
    double locked_rotor_time_s = 20;
};

struct EfficiencyPoint {
    double load_ratio = 0, efficiency = 0;
};

struct Drive {
    double ramp_up_hz_s = 0, ramp_down_hz_s = 0;
    double frequency_max_hz = 0;
    double current_limit_a = 0;
    std::vector<EfficiencyPoint> efficiency;  ///< by load; at least one point
    double slew_hz_s = 0.2;                   ///< how fast the synchroniser may pull frequency
    double sync_window_deg = 5;               ///< the drive's own claim of "in sync"
    double sync_hold_s = 0.2;
    double restart_lock_s = 30;  ///< after a trip
    bool flying_start = false;
};

struct Contactor {
    double closing_s = 0.06, opening_s = 0.03, spread_s = 0.005;  ///< spread: uniform, plus or minus
};

struct Supply {
    double voltage_v = 0, frequency_hz = 0;
    double short_circuit_va = 0;
    double short_circuit_x_over_r = 10;
    double frequency_wander_hz = 0.02;  ///< standard deviation of the slow wander
    double voltage_wander_ratio = 0.005;
    double drop_out_ratio = 0.6;  ///< contactors open below this voltage
};

struct LevelTransmitter {
    double level_at_4ma_m = 0, level_at_20ma_m = 0;
    double noise_m = 0;  ///< standard deviation
    double lag_s = 0;
    double resolution_ma = 0.002;
    double update_s = 0;  ///< time from one measurement to the next; 0: every scan
};

struct Instruments {
    std::vector<LevelTransmitter> level;  ///< one or two
    bool floats_fitted = false;
    double high_float_m = 0, low_float_m = 0, float_differential_m = 0.05;
    bool pressure_fitted = false;
    double pressure_at_4ma_m = 0, pressure_at_20ma_m = 0;  ///< header pressure head, m of the fluid
};

/// A closed vessel of air on the header of a booster set.
struct AirVessel {
    double air_volume_m3 = 0;     ///< at pre-charge; zero: no vessel
    double precharge_head_m = 0;  ///< gauge
    double polytropic_exponent = 1.2;
};

struct TariffBand {
    std::uint8_t from_h = 0, to_h = 24;
    double price_per_kwh = 0;
};

/// A whole station. The controller's settings are in the same file; the loader reads them into
/// core::Settings.
struct Station {
    std::string name;
    std::string file;  ///< path of the station file, for messages
    Duty duty = Duty::empty_well;
    Well well;
    PumpType pump;  ///< all pumps of a station are of one type
    Motor motor;
    std::uint8_t pump_count = 0;  ///< 2..8
    Main main;
    Fluid fluid;
    Drive drive;
    Contactor drive_side, line_side, drive_output;
    Supply supply;
    Instruments instruments;
    AirVessel air_vessel;
    double suction_head_m = 0;          ///< pressure and filling duties: fixed suction level above datum
    std::vector<TariffBand> tariff;     ///< empty: no cost is computed
    std::array<double, 8> run_hours{};  ///< at the start of a run
    std::int32_t utc_offset_ms =
        0;  ///< local time less station time, for hours of the tariff and timed tasks
};

}  // namespace freshet::config
