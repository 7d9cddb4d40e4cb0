// Writes sentences for the mistakes that the library finds; see the header.
#include "hal/service/command_line.hpp"

#include <algorithm>
#include <cstdio>
#include <string>
#include <string_view>
#include <vector>

#include <CLI/CLI.hpp>

#include "config/loader/nearest.hpp"
#include "controller/words/cautions.hpp"
#include "hal/service/exit_code.hpp"

namespace freshet::service {
namespace {

std::string nearest_option(const CLI::App& app, std::string_view word) {
    std::vector<std::string> names;
    for (const CLI::Option* option : app.get_options())
        for (const std::string& name : option->get_lnames()) names.push_back(name);
    word.remove_prefix(std::min(word.find_first_not_of('-'), word.size()));
    const std::string_view near =
        config::nearest(word, std::vector<std::string_view>(names.begin(), names.end()));
    return near.empty() ? std::string() : "; nearest known option \"--" + std::string(near) + "\"";
}

/// A sentence about the first surplus argument. An unknown option is named before a surplus word, because the
/// word may be the value of this option.
std::string left_over(const CLI::App& app) {
    const std::vector<std::string> words = app.remaining();
    for (const std::string& word : words) {
        if (word.size() < 2 || word.front() != '-') continue;
        const std::string name = word.substr(0, word.find('='));
        return "there is no option \"" + name + "\"" + nearest_option(app, name);
    }
    return words.empty() ? std::string() : "\"" + words.front() + "\" is an unexpected argument";
}

/// The option at the beginning of a message of the library, or inside the message.
const CLI::Option* blamed(const CLI::App& app, std::string_view message) {
    const CLI::Option* found = nullptr;
    for (const CLI::Option* option : app.get_options()) {
        const bool named = message.find(option->get_name()) != std::string_view::npos;
        if (named && (found == nullptr || option->get_name().size() > found->get_name().size()))
            found = option;
    }
    return found;
}

std::string_view expected_by(const CLI::Option& option) {
    const std::string type = option.get_type_name();
    if (type.starts_with("UINT")) return "a whole number from 0";
    if (type.starts_with("INT")) return "a whole number";
    if (type.starts_with("FLOAT")) return "a number";
    return "another value";
}

/// "--rain: heavy not in {weak,strong}" as "--rain: heavy is not known; expected one of weak,strong". Other
/// messages stay unchanged.
std::string without_set_notation(std::string message) {
    constexpr std::string_view not_in = " not in {";
    const std::size_t at = message.find(not_in);
    if (at == std::string::npos || !message.ends_with('}')) return message;
    message.pop_back();
    return message.replace(at, not_in.size(), " is not known; expected one of ");
}

std::string sentence_of(const CLI::App& app, const CLI::ParseError& error) {
    // A misspelled option makes the library report other options as missing.
    if (std::string unknown = left_over(app); !unknown.empty()) return unknown;
    const std::string message = error.what();
    const CLI::Option* option = blamed(app, message);
    if (option == nullptr) return message;
    switch (static_cast<CLI::ExitCodes>(error.get_exit_code())) {
        case CLI::ExitCodes::RequiredError:
            return message + " (" + option->get_description() + ")";
        case CLI::ExitCodes::ArgumentMismatch:
            return option->get_name() + " has no value; expected a value (" + option->get_description() + ")";
        case CLI::ExitCodes::ConversionError:
            return option->get_name() + ": \"" + (option->empty() ? "" : option->results().back()) +
                   "\" cannot be read; expected " + std::string(expected_by(*option));
        default:
            return without_set_notation(message);
    }
}

}  // namespace

std::optional<int> read_command_line(CLI::App& app, int argc, char** argv) {
    const std::string foot = app.get_footer();
    app.footer(foot + (foot.empty() ? "" : "\n\n") + std::string(words::caution_line));
    try {
        app.parse(argc, argv);
        return std::nullopt;
    } catch (const CLI::ParseError& error) {
        if (error.get_exit_code() == static_cast<int>(CLI::ExitCodes::Success)) {
            app.exit(error);
            return exit_good;
        }
        std::fprintf(stderr, "%s: %s; `%s --help` lists the options\n", app.get_name().c_str(),
                     sentence_of(app, error).c_str(), app.get_name().c_str());
        return exit_bad_input;
    }
}

}  // namespace freshet::service
