#include "screen/found_upload.hpp"

#include "core/failure.hpp"
#include "files/json_value.hpp"
#include "screen/job_form.hpp"
#include "screen/page_act.hpp"

namespace halfturn::screen {
namespace {

std::optional<double> number_in(const JsonValue& value, std::string_view label) {
    if (trimmed(value.text()).empty()) return {};
    return typed_number(value.text(), label);
}

}  // namespace

FoundUpload read_found_upload(std::string_view body) {
    const std::string_view line = body.substr(0, body.find('\n'));
    FoundUpload told;
    if (line.size() > longest_page_act_bytes) throw BadInput("that is more text than the record takes; write less");
    const JsonValue form = JsonValue::parse(line, "the page's form");
    for (const auto& [name, value] : form.members()) {
        if (name == "job") told.job = value.text();
        else if (name == "who") told.who = trimmed(value.text());
        else if (name == "gauge") told.found.gauge = trimmed(value.text());
        else if (name == "text") told.found.text = trimmed(value.text());
        else if (name == "bore_mm") told.found.bore_mm = number_in(value, "the bore's size");
        else if (name == "bore_u_um") told.found.bore_u_um = number_in(value, "the bore's uncertainty");
        else if (name == "seen") {
            for (const JsonValue& one : value.items()) {
                const auto seen = review::seen_from_name(one.text());
                if (!seen) throw BadInput("a seat can't be \"" + one.text() + "\"; load the page again");
                told.found.seen.push_back(*seen);
            }
        } else if (name == "turns_freely") {
            if (value.text() == "yes" || value.text() == "no") told.found.turns_freely = value.text() == "yes";
            else if (!value.text().empty()) throw BadInput("whether the bearing turns freely is yes, no or left out; load the page again");
        } else if (name == "decision") {
            told.found.decision = review::decision_from_name(value.text());
            if (!told.found.decision && !value.text().empty())
                throw BadInput("there is no decision \"" + value.text() + "\"; load the page again");
        } else {
            throw BadInput("the form has a field \"" + name + "\" that this version does not know; load the page again");
        }
    }
    if (line.size() < body.size()) told.photo = body.substr(line.size() + 1);
    return told;
}

}  // namespace halfturn::screen
