#include "practice/instruments/instrument.hpp"

#include <algorithm>

#include "core/failure.hpp"
#include "core/nearest_word.hpp"
#include "core/number_text.hpp"

namespace halfturn::practice {

extern const InstrumentKind axis_semi, counts_csv, hdr_comma, sign_cr, value_unit;

const std::vector<const InstrumentKind*>& instrument_kinds() {
    static const std::vector<const InstrumentKind*> kinds = {&axis_semi, &counts_csv, &hdr_comma, &sign_cr, &value_unit};
    return kinds;
}

std::string OptionReader::text(std::string_view key, std::string_view usual) {
    known_.emplace_back(key);
    const auto found = options_.find(key);
    return found == options_.end() ? std::string(usual) : found->second;
}

double OptionReader::number(std::string_view key, double usual, double low, double high) {
    const std::string given = text(key, "");
    if (given.empty() && options_.find(key) == options_.end()) return usual;
    const auto value = parse_number(given);
    if (!value || *value < low || *value > high)
        throw BadInput(where_ + ": " + std::string(key) + "=" + given + " can't be used; give a number from " +
                       number_text(low) + " to " + number_text(high));
    return *value;
}

std::string OptionReader::choice(std::string_view key, std::string_view usual, const std::vector<std::string>& allowed) {
    const std::string given = text(key, usual);
    if (std::find(allowed.begin(), allowed.end(), given) != allowed.end()) return given;
    std::string list;
    for (const auto& word : allowed) list += (list.empty() ? "" : ", ") + word;
    throw BadInput(where_ + ": " + std::string(key) + "=" + given + " can't be used; known are " + list);
}

void OptionReader::refuse_others() const {
    for (const auto& [key, value] : options_) {
        if (std::find(known_.begin(), known_.end(), key) != known_.end()) continue;
        const std::string near = nearest_word(key, known_);
        std::string list;
        for (const auto& word : known_) list += (list.empty() ? "" : ", ") + word;
        throw BadInput(where_ + ": there is no option " + key + "; " +
                       (near.empty() ? "known are " + list : "did you mean " + near + "?"));
    }
}

}  // namespace halfturn::practice
