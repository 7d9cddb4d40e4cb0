// The order of precedence in Markdown; see the header.
#include "controller/words/precedence_document.hpp"

#include <initializer_list>

#include "controller/words/cautions.hpp"
#include "controller/words/states.hpp"

namespace freshet::words {
namespace {

/// A row of a Markdown table.
std::string row_of(std::initializer_list<std::string_view> cells) {
    std::string out = "|";
    for (const std::string_view cell : cells) out.append(" ").append(cell).append(" |");
    return out + "\n";
}

}  // namespace

std::string precedence_markdown() {
    std::string out = "# Order of precedence\n\n" + std::string(caution_line) +
                      "\n\nWorst first. Each row overrides every row below it.\n\n";
    out += row_of({"row", "is about", "overrides the rows below", "is overridden by", "people see"});
    out += "|---|---|---|---|---|\n";
    for (const PrecedenceWord& row : precedence_rows)
        out += row_of({row.name, row.text, row.until, row.overridden_by, row.shown});
    out += "\n## Grounds that refuse a start, a transfer or a stop\n\n";
    out += row_of({"ground", "says", "row", "gives way to water in danger"});
    out += "|---|---|---|---|\n";
    for (const core::PrecedenceRow& one : core::precedence) {
        if (one.ground == core::Permissive::none) continue;
        const auto& ground = word(one.ground);
        out += row_of({"`" + std::string(ground.name) + "`", ground.text,
                       precedence_rows[static_cast<std::size_t>(one.row)].name,
                       core::yields_to_water(one.ground) ? "yes" : "no"});
    }
    return out;
}

}  // namespace freshet::words
