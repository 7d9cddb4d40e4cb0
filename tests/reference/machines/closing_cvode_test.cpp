// The closing study compared with a solver for stiff systems, SUNDIALS CVODE (BDF of variable order, relative
// tolerance 1e-10). The machine is the same. The equations are written a second time, in flux linkages per
// second in the stationary frame, with the mutual flux linkage in place of the inverse inductance matrix.
// Agreement: 0.5 %.
// One reason to change: the equations of the comparison.
//
// Sources: equations after P. Krause, O. Wasynczuk, S. Sudhoff, Analysis of Electric Machinery, chapter on
// induction machines, from memory; parameters of the two machines from
// tests/unit/machines/textbook_station.hpp, transcribed from public simulation scripts. The attribution of
// the parameters to that book is from memory.
#include <cvode/cvode.h>
#include <gtest/gtest.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "config/electrics/motor_circuit.hpp"
#include "sim_plant/physics/closing.hpp"
#include "sim_plant/physics/nameplate.hpp"
#include "tests/unit/machines/textbook_station.hpp"

namespace freshet::plant {
namespace {

constexpr double base_rad_s = 2 * std::numbers::pi * 60;

/// The state holds psi_qs, psi_ds, psi_qr, psi_dr (V) and the electrical speed over the base speed.
struct Problem {
    config::MotorCircuit c;
    double inertia = 1, line_peak_v = 1, fan_nm = 0, fan_at = 1;
    double mutual_ohm = 1;
    struct Currents {
        double qs, ds, qr, dr;
    };
    Currents currents(const double* y) const {
        const double mutual_q = mutual_ohm * (y[0] / c.xls_ohm + y[2] / c.xlr_ohm);
        const double mutual_d = mutual_ohm * (y[1] / c.xls_ohm + y[3] / c.xlr_ohm);
        return {(y[0] - mutual_q) / c.xls_ohm, (y[1] - mutual_d) / c.xls_ohm, (y[2] - mutual_q) / c.xlr_ohm,
                (y[3] - mutual_d) / c.xlr_ohm};
    }
    double torque(const double* y) const {
        const Currents i = currents(y);
        return 1.5 * 2 / base_rad_s * (y[1] * i.qs - y[0] * i.ds);  // 4 poles
    }
};

int rate(realtype t, N_Vector state, N_Vector derivative, void* data) {
    const Problem& p = *static_cast<const Problem*>(data);
    const double* y = N_VGetArrayPointer(state);
    double* dy = N_VGetArrayPointer(derivative);
    const Problem::Currents i = p.currents(y);
    // The q axis has the direction of the line's vector at the closing. The d axis lags the q axis.
    const double vq = p.line_peak_v * std::cos(base_rad_s * t);
    const double vd = -p.line_peak_v * std::sin(base_rad_s * t);
    dy[0] = base_rad_s * (vq - p.c.rs_ohm * i.qs);
    dy[1] = base_rad_s * (vd - p.c.rs_ohm * i.ds);
    dy[2] = base_rad_s * (y[4] * y[3] - p.c.rr_ohm * i.qr);
    dy[3] = base_rad_s * (-y[4] * y[2] - p.c.rr_ohm * i.dr);
    const double load = p.fan_nm * (y[4] / p.fan_at) * (y[4] / p.fan_at);
    dy[4] = (p.torque(y) - load) * 2 / (p.inertia * base_rad_s);
    return 0;
}

struct Peaks {
    double current_a = 0, torque_max_nm = -1e300, torque_min_nm = 1e300;
};

Peaks by_cvode(const config::Motor& motor, double angle_deg) {
    Problem p;
    p.c = motor.circuit;
    p.inertia = motor.inertia_kgm2;
    p.line_peak_v = 2300 * std::numbers::sqrt2 / std::numbers::sqrt3;
    p.mutual_ohm = 1 / (1 / p.c.xm_ohm + 1 / p.c.xls_ohm + 1 / p.c.xlr_ohm);
    const double slip = config::slip_for_shaft_power(motor, motor.nameplate.power_w);
    const config::MotorPoint point = config::circuit_point(p.c, 4, 60, 2300, 60, slip);
    p.fan_nm = point.torque_nm;
    p.fan_at = 1 - slip;

    // Steady state before the closing: the phasors are turned ahead by the angle. The real part goes to q,
    // minus the imaginary part to d.
    const config::Phasor turned = std::polar(std::numbers::sqrt2, angle_deg * std::numbers::pi / 180);
    const config::Phasor is = point.stator_a * turned;
    const config::Phasor ir = -point.rotor_a * turned;
    const config::Phasor psi_s = p.c.xls_ohm * is + p.c.xm_ohm * (is + ir);
    const config::Phasor psi_r = p.c.xlr_ohm * ir + p.c.xm_ohm * (is + ir);

    SUNContext context = nullptr;
    SUNContext_Create(nullptr, &context);
    N_Vector y = N_VNew_Serial(5, context);
    double* at = N_VGetArrayPointer(y);
    const std::array<double, 5> begin{psi_s.real(), -psi_s.imag(), psi_r.real(), -psi_r.imag(), 1 - slip};
    std::copy(begin.begin(), begin.end(), at);
    SUNMatrix matrix = SUNDenseMatrix(5, 5, context);
    SUNLinearSolver solver = SUNLinSol_Dense(y, matrix, context);
    void* cvode = CVodeCreate(CV_BDF, context);
    CVodeInit(cvode, rate, 0, y);
    CVodeSetUserData(cvode, &p);
    CVodeSStolerances(cvode, 1e-10, 1e-8);
    CVodeSetLinearSolver(cvode, solver, matrix);
    CVodeSetMaxNumSteps(cvode, 1000000);

    Peaks peaks;
    constexpr double watch_s = 0.3;
    constexpr double sample_s = 5e-5;
    for (int n = 0; n * sample_s <= watch_s; ++n) {
        if (n > 0) {
            realtype reached = 0;
            if (CVode(cvode, n * sample_s, y, &reached, CV_NORMAL) < 0)
                ADD_FAILURE() << "CVODE failed at " << reached;
        }
        const Problem::Currents i = p.currents(at);
        peaks.current_a = std::max(peaks.current_a, std::hypot(i.qs, i.ds));
        const double torque = p.torque(at);
        peaks.torque_max_nm = std::max(peaks.torque_max_nm, torque);
        peaks.torque_min_nm = std::min(peaks.torque_min_nm, torque);
    }
    CVodeFree(&cvode);
    SUNLinSolFree(solver);
    SUNMatDestroy(matrix);
    N_VDestroy(y);
    SUNContext_Free(&context);
    return peaks;
}

void expect_agreement(const config::Motor& motor, double angle_deg) {
    const Peaks reference = by_cvode(motor, angle_deg);
    ClosingCase closing;
    closing.angle_deg = angle_deg;
    const ClosingResult ours = closing_study(motor, closing);
    const double span_nm = reference.torque_max_nm - reference.torque_min_nm;
    EXPECT_NEAR(ours.peak_current_a, reference.current_a, 0.005 * reference.current_a)
        << motor.name << " " << angle_deg;
    EXPECT_NEAR(ours.torque_max_nm, reference.torque_max_nm, 0.005 * span_nm)
        << motor.name << " " << angle_deg;
    EXPECT_NEAR(ours.torque_min_nm, reference.torque_min_nm, 0.005 * span_nm)
        << motor.name << " " << angle_deg;
}

TEST(ClosingComparedWithCvode, agrees_for_500_hp_at_30_120_and_180_degrees) {
    for (const double angle : {30.0, 120.0, 180.0}) expect_agreement(testing::motor_500_hp(), angle);
}
TEST(ClosingComparedWithCvode, agrees_for_2250_hp_at_30_120_and_180_degrees) {
    for (const double angle : {30.0, 120.0, 180.0}) expect_agreement(testing::motor_2250_hp(), angle);
}
// An invented machine with a fiftieth of the leakage: the transient of the stator ends in a third of a
// millisecond, that of the rotor lasts a second.
TEST(ClosingComparedWithCvode, agrees_for_a_stiff_machine_with_hardly_any_leakage) {
    config::Motor stiff = testing::motor_500_hp();
    stiff.name = "stiff";
    stiff.circuit.xls_ohm /= 50;
    stiff.circuit.xlr_ohm /= 50;
    expect_agreement(stiff, 60);
}

}  // namespace
}  // namespace freshet::plant
