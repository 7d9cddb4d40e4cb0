// The words of every code, and the sentences made out of them.
// One reason to change: how an event is worded.
#include <gtest/gtest.h>

#include <clocale>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <string>

#include "controller/words/alarms.hpp"
#include "controller/words/cautions.hpp"
#include "controller/words/reasons.hpp"
#include "controller/words/sentences.hpp"
#include "controller/words/sequence_table.hpp"
#include "controller/words/sequences.hpp"
#include "controller/words/settings_faults.hpp"
#include "controller/words/states.hpp"

namespace freshet::words {
namespace {

core::Event forecast_for_pump_3() {
    core::Event event;
    event.what = core::EventKind::sequence_begun;
    event.detail = static_cast<std::uint8_t>(core::Sequence::hand_over);
    event.pump = 2;
    event.why = core::Reason::forecast_short;
    event.values = {0.8126, 0.5, 95, 130};
    return event;
}

template <class Table>
void expect_snake_case(const Table& table) {
    for (const auto& entry : table) {
        EXPECT_EQ(entry.name.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789_"),
                  std::string_view::npos)
            << entry.name;
    }
}

TEST(Words, names_are_snake_case_so_that_a_journal_needs_no_escaping) {
    expect_snake_case(pump_states);
    expect_snake_case(services);
    expect_snake_case(intentions);
    expect_snake_case(qualities);
    expect_snake_case(quality_causes);
    expect_snake_case(selectors);
    expect_snake_case(permissives);
    expect_snake_case(sequences);
    expect_snake_case(steps);
    expect_snake_case(event_kinds);
    expect_snake_case(station_alarms);
    expect_snake_case(pump_alarms);
    expect_snake_case(conditions);
    expect_snake_case(limits);
    expect_snake_case(reasons);
    expect_snake_case(settings_faults);
    for (const ReasonWord& reason : reasons) {
        for (const Value& value : reason.values) {
            EXPECT_EQ(value.name.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789_"),
                      std::string_view::npos)
                << value.name;
        }
    }
}

TEST(Words, a_name_leads_back_to_its_code) {
    for (const auto& entry : steps) EXPECT_EQ(code_of(steps, entry.name), entry.code);
    EXPECT_FALSE(code_of(steps, "no_such_step").has_value());
}

TEST(Words, a_code_beyond_the_table_gives_the_first_word_and_not_a_crash) {
    EXPECT_EQ(word(static_cast<core::Reason>(250)).name, "none");
}

TEST(Words, values_with_a_unit_have_it_last_in_their_name) {
    for (const ReasonWord& reason : reasons) {
        for (const Value& value : reason.values) {
            if (value.name.empty()) continue;
            const auto ends = [&value](std::string_view unit) { return value.name.ends_with(unit); };
            switch (value.unit) {
                case Unit::m:
                    EXPECT_TRUE(ends("_m")) << value.name;
                    break;
                case Unit::m3:
                    EXPECT_TRUE(ends("_m3")) << value.name;
                    break;
                case Unit::m3s:
                    EXPECT_TRUE(ends("_m3s")) << value.name;
                    break;
                case Unit::hz:
                    EXPECT_TRUE(ends("_hz")) << value.name;
                    break;
                case Unit::a:
                    EXPECT_TRUE(ends("_a")) << value.name;
                    break;
                case Unit::deg:
                    EXPECT_TRUE(ends("_deg")) << value.name;
                    break;
                case Unit::ratio:
                    EXPECT_TRUE(ends("_ratio")) << value.name;
                    break;
                case Unit::h:
                    EXPECT_TRUE(ends("_h")) << value.name;
                    break;
                case Unit::s:
                    EXPECT_TRUE(ends("_s")) << value.name;
                    break;
                case Unit::ms:
                    EXPECT_TRUE(ends("_ms")) << value.name;
                    break;
                case Unit::count:
                case Unit::contact:
                case Unit::permissive:
                case Unit::quality_cause:
                case Unit::vote:
                case Unit::contradiction:
                    break;
            }
        }
    }
}

TEST(Sentences, name_the_pump_counted_from_one_the_sequence_and_the_values_that_decided) {
    EXPECT_EQ(
        sentence(forecast_for_pump_3()),
        "Pump 3: hand-over to the line begun, because at an inflow of 0.813 m3/s with 0.500 m3/s pumped, "
        "the measured value would reach the next mark in 95.0 s, and starting another pump takes 2.2 min.");
}

TEST(Sentences, give_a_coded_value_as_its_word) {
    core::Event event;
    event.what = core::EventKind::pump_state;
    event.detail = static_cast<std::uint8_t>(core::PumpState::stopping);
    event.pump = 0;
    event.why = core::Reason::permission_lost;
    event.values[0] = static_cast<double>(core::Permissive::winding_hot);
    EXPECT_EQ(sentence(event), "Pump 1: now stopping, because the winding is too hot.");
}

TEST(Sentences, take_an_alarm_of_the_station_or_of_the_pump_by_whether_a_pump_is_named) {
    core::Event event;
    event.what = core::EventKind::alarm_raised;
    event.detail = 0;
    EXPECT_EQ(happened(event), "Station: ALARM measured value past its high mark");
    event.pump = 1;
    EXPECT_EQ(happened(event), "Pump 2: ALARM motor protection tripped");
}

TEST(Sentences, of_a_refusal_and_of_a_limit_that_gave_way_name_the_limit_once) {
    core::Event refused;
    refused.what = core::EventKind::refused;
    refused.detail = static_cast<std::uint8_t>(core::Permissive::winding_hot);
    refused.pump = 1;
    refused.why = core::Reason::refused;
    refused.values = {static_cast<double>(refused.detail), 6000, 0, 0};
    core::Event gave_way = refused;
    gave_way.what = core::EventKind::limit_yielded;
    gave_way.why = core::Reason::limit_yields;

    EXPECT_EQ(
        sentence(refused),
        "Pump 2: more pumping is wanted but refused, because the winding is too hot (time left 6.0 s).");
    EXPECT_EQ(sentence(gave_way),
              "Pump 2: a limit gave way, because the water was in danger, "
              "and keeping the water in comes before this limit: the winding is too hot.");
}

TEST(Sentences, of_a_chosen_pump_say_what_put_it_first_and_which_pump_comes_next) {
    core::Event chosen;
    chosen.what = core::EventKind::pump_chosen;
    chosen.detail = static_cast<std::uint8_t>(core::Sequence::start_on_drive);
    chosen.pump = 2;
    chosen.why = core::Reason::fewest_hours;
    chosen.values = {2950, 3000, 4, 3};
    EXPECT_EQ(
        sentence(chosen),
        "Pump 3: chosen for the start on the drive, because the pump had the fewest hours of 3 free pumps "
        "(2950.0 h; next: pump 4 with 3000.0 h).");
    chosen.why = core::Reason::next_in_alternation;
    chosen.values = {std::nan(""), 4, 3, 0};
    EXPECT_EQ(
        sentence(chosen),
        "Pump 3: chosen for the start on the drive, because no pump had started before, and the alternation "
        "begins with the lowest number.");
}

TEST(Sentences, without_a_reason_end_after_the_event) {
    core::Event event = forecast_for_pump_3();
    event.why = core::Reason::none;
    EXPECT_EQ(sentence(event), "Pump 3: hand-over to the line begun.");
}

TEST(Sentences, do_not_depend_on_the_locale) {
    const std::string before = sentence(forecast_for_pump_3());
    const std::string old = std::setlocale(LC_ALL, nullptr);
    // A locale with a decimal comma where the machine has one; "C" otherwise, and then the test still holds.
    if (std::setlocale(LC_ALL, "de_DE.UTF-8") == nullptr) std::setlocale(LC_ALL, "C");
    EXPECT_EQ(sentence(forecast_for_pump_3()), before);
    std::setlocale(LC_ALL, old.c_str());
}

TEST(SettingsFaults, say_the_refused_value_and_what_was_expected) {
    EXPECT_EQ(clause({core::SettingsFault::pump_count, 0, 9}), "pump_count is 9; expected 2 to 8 pumps");
    EXPECT_EQ(clause({core::SettingsFault::initial_hours, 3, -0.5}),
              "run_ms_initial of pump 4 is -0.5 ms; expected 0 ms to a century");
    EXPECT_EQ(clause({core::SettingsFault::line_voltage, 0, std::nan("")}),
              "line_voltage_v is not a finite number; expected more than 0 V");
}

TEST(ValueText, chooses_the_unit_of_a_duration_that_people_read) {
    EXPECT_EQ(value_text(350, Unit::ms), "350 ms");
    EXPECT_EQ(value_text(4200, Unit::ms), "4.2 s");
    EXPECT_EQ(value_text(90, Unit::s), "90.0 s");
    EXPECT_EQ(value_text(1200, Unit::s), "20.0 min");
    EXPECT_EQ(value_text(3 * 3600, Unit::s), "3.0 h");
}

TEST(ValueText, says_when_a_value_is_not_known_or_has_no_end) {
    EXPECT_EQ(value_text(std::numeric_limits<double>::quiet_NaN(), Unit::m), "not known");
    EXPECT_EQ(value_text(std::numeric_limits<double>::infinity(), Unit::s), "unlimited");
}

TEST(ValueText, has_no_minus_before_a_zero) {
    EXPECT_EQ(value_text(-0.0001, Unit::m), "0.00 m");
}

TEST(Numbers, are_as_short_as_reads_back_exactly) {
    std::string out;
    append_number(out, 0.1);
    EXPECT_EQ(out, "0.1");
    for (const double value : {1.0 / 3, 123456.0, 1e-9, -2.5e300, 5e-324}) {
        out.clear();
        append_number(out, value);
        EXPECT_EQ(std::strtod(out.c_str(), nullptr), value) << out;
    }
}

TEST(Numbers, that_are_not_finite_are_null) {
    std::string out;
    append_number(out, std::nan(""));
    EXPECT_EQ(out, "null");
}

}  // namespace
}  // namespace freshet::words
