// Turns codes and values into English. The words themselves are in the tables of this folder.
#include "controller/words/sentences.hpp"

#include <charconv>
#include <cmath>
#include <system_error>

#include "controller/words/detail_table.hpp"

namespace freshet::words {
namespace {

/// The words of a code, whichever table has them.
struct Named {
    std::string_view name;
    std::string_view text;
};

/// Takes the words of a code from the table that it is called with.
auto words_of(std::uint8_t code) {
    return [code](const auto& table) {
        const auto& entry = entry_of(table, code);
        return Named{entry.name, entry.text};
    };
}

/// What an event's `detail` names.
Named detail_of(const core::Event& event) {
    return with_detail_table<Named>(event.what, event.pump != core::no_pump, words_of(event.detail));
}

/// Fixed notation with a number of decimals, in every locale.
std::string fixed(double value, int decimals) {
    char text[64];
    // No figure of a station is so large. The limit keeps the buffer safe.
    if (std::fabs(value) > 1e15) return value > 0 ? "very large" : "very small";
    const auto end = std::to_chars(text, text + sizeof text, value, std::chars_format::fixed, decimals).ptr;
    std::string result(text, end);
    if (result.find_first_not_of("-0.") == std::string::npos && result.front() == '-') result.erase(0, 1);
    return result;
}

std::string duration_text(double ms) {
    const double magnitude = std::fabs(ms);
    if (magnitude < 1000) return fixed(ms, 0) + " ms";
    if (magnitude < 120e3) return fixed(ms / 1e3, 1) + " s";
    if (magnitude < 2 * 3600e3) return fixed(ms / 60e3, 1) + " min";
    return fixed(ms / 3600e3, 1) + " h";
}

/// The code of a coded value. A value that is not a code gives 255, which no table has.
std::uint8_t as_code(double value) {
    return value >= 0 && value < 255 ? static_cast<std::uint8_t>(value) : 255;
}

/// The words of a coded value; empty for a number. A contact is closed when its value is not zero.
Named coded(double value, Unit unit) {
    const auto code = unit == Unit::contact ? static_cast<std::uint8_t>(value != 0) : as_code(value);
    return with_value_table<Named>(unit, words_of(code));
}

void append_pump(std::string& out, std::uint8_t pump) {
    if (pump == core::no_pump) {
        out += "Station";
        return;
    }
    out += "Pump ";
    out += std::to_string(pump + 1);
}

}  // namespace

std::string_view detail_name(const core::Event& event) {
    return detail_of(event).name;
}

std::string value_text(double value, Unit unit) {
    if (!std::isfinite(value)) return value > 0 ? "unlimited" : "not known";
    switch (unit) {
        case Unit::m:
            return fixed(value, 2) + " m";
        case Unit::m3:
            return fixed(value, 1) + " m3";
        case Unit::m3s:
            return fixed(value, 3) + " m3/s";
        case Unit::hz:
            return fixed(value, 2) + " Hz";
        case Unit::a:
            return fixed(value, 1) + " A";
        case Unit::deg:
            return fixed(value, 1) + " deg";
        case Unit::ratio:
            return fixed(value * 100, 1) + " %";
        case Unit::h:
            return fixed(value, 1) + " h";
        case Unit::s:
            return duration_text(value * 1000);
        case Unit::ms:
            return duration_text(value);
        case Unit::count:
            return fixed(value, 0);
        case Unit::contact:
        case Unit::permissive:
        case Unit::quality_cause:
        case Unit::vote:
        case Unit::contradiction:
            break;
    }
    return std::string(coded(value, unit).text);
}

std::string_view value_name(double value, Unit unit) {
    return coded(value, unit).name;
}

std::string because(const core::Event& event) {
    if (event.why == core::Reason::none) return {};
    const ReasonWord& reason = word(event.why);
    // The short clause leaves out values that are not known.
    if (!reason.bare.empty() && std::isnan(event.values[0])) return std::string(reason.bare);
    std::string out;
    for (std::size_t i = 0; i < reason.text.size(); ++i) {
        if (reason.text[i] != '{') {
            out += reason.text[i];
            continue;
        }
        const auto index = static_cast<std::size_t>(reason.text[i + 1] - '0');
        out += value_text(event.values[index], reason.values[index].unit);
        i += 2;
    }
    return out;
}

/// How the sentence about a change of an alarm begins.
std::string_view alarm_change(core::EventKind what) {
    switch (what) {
        case core::EventKind::alarm_raised:
            return "ALARM ";
        case core::EventKind::alarm_returned:
            return "alarm over: ";
        case core::EventKind::alarm_acknowledged:
            return "alarm acknowledged: ";
        case core::EventKind::alarm_shelved:
            return "alarm shelved: ";
        case core::EventKind::alarm_unshelved:
            return "alarm no longer shelved: ";
        case core::EventKind::alarm_out_of_service:
            return "alarm out of service: ";
        case core::EventKind::alarm_in_service:
            return "alarm in service again: ";
        default:
            return "";
    }
}

std::string happened(const core::Event& event) {
    std::string out;
    append_pump(out, event.pump);
    out += ": ";
    const std::string_view detail = detail_of(event).text;
    switch (event.what) {
        case core::EventKind::sequence_begun:
            out.append(detail) += " begun";
            break;
        case core::EventKind::sequence_done:
            out.append(detail) += " done";
            break;
        case core::EventKind::sequence_withdrawn:
            out.append(detail) += " withdrawn";
            break;
        case core::EventKind::step_entered:
            out += detail;
            break;
        case core::EventKind::pump_state:
        case core::EventKind::service:
        case core::EventKind::water_mode:
            out.append("now ") += detail;
            break;
        case core::EventKind::measured_quality:
            out.append("measured value now ") += detail;
            break;
        case core::EventKind::alarm_raised:
        case core::EventKind::alarm_returned:
        case core::EventKind::alarm_acknowledged:
        case core::EventKind::alarm_shelved:
        case core::EventKind::alarm_unshelved:
        case core::EventKind::alarm_out_of_service:
        case core::EventKind::alarm_in_service:
            out.append(alarm_change(event.what)) += detail;
            break;
        case core::EventKind::protective_stop:
            out.append("stopped for protection: ") += detail;
            break;
        // The reason of these two names the limit.
        case core::EventKind::refused:
            out += "more pumping is wanted but refused";
            break;
        case core::EventKind::limit_yielded:
            out += "a limit gave way";
            break;
        case core::EventKind::emergency_stop_reset:
            out += "emergency stop reset, pumps may start";
            break;
        case core::EventKind::reset_refused:
            out.append("reset refused: ") += detail;
            break;
        case core::EventKind::pump_chosen:
            out.append("chosen for the ") += detail;
            break;
        case core::EventKind::count:
            break;
    }
    return out;
}

std::string sentence(const core::Event& event) {
    std::string out = happened(event);
    const std::string reason = because(event);
    if (!reason.empty()) out.append(", because ") += reason;
    out += '.';
    return out;
}

void append_number(std::string& out, double value) {
    if (!std::isfinite(value)) {
        out += "null";
        return;
    }
    char text[32];
    const auto end = std::to_chars(text, text + sizeof text, value).ptr;
    out.append(text, end);
}

}  // namespace freshet::words
