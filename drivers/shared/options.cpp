#include "drivers/shared/options.hpp"

#include <algorithm>

#include "core/nearest_word.hpp"
#include "core/number_text.hpp"

namespace halfturn {

Options::Options(const Format& format, const Settings& settings) : format_(format), settings_(settings) {
    for (const auto& [key, value] : settings) {
        // Any format may be told its unit, though it is used only where the wire has none, and what to send.
        if (key == "poll" || key == "unit" ||
            std::find(format.settings.begin(), format.settings.end(), key) != format.settings.end())
            continue;
        std::vector<std::string> known(format.settings.begin(), format.settings.end());
        const std::string near = nearest_word(key, known);
        std::string list;
        for (const auto& word : known) list += (list.empty() ? "" : ", ") + word;
        throw BadInput(std::string(format.id) + ": there is no setting \"" + key + "\"; " +
                       (known.empty()   ? "this format has none"
                        : near.empty() ? "known are " + list
                                       : "did you mean \"" + near + "\"?"));
    }
    unit();
}

BadInput Options::error(std::string_view key, std::string_view expected) const {
    const auto found = settings_.find(key);
    return BadInput(std::string(format_.id) + ": setting " + std::string(key) +
                    (found == settings_.end() ? " is missing; give " : " = \"" + found->second + "\" can't be used; give ") +
                    std::string(expected));
}

std::optional<std::string_view> Options::text(std::string_view key) const {
    const auto found = settings_.find(key);
    if (found == settings_.end()) return {};
    return found->second;
}

Unit Options::unit() const {
    const auto given = text("unit");
    if (!given) return Unit::none;
    const auto unit = unit_from_name(*given);
    if (!unit)
        throw error("unit", "one of mm, in, um, N, kN, kgf, gf, lbf, ozf, kg, g, lb, pcs, counts, rpm, deg, turns");
    return *unit;
}

DecimalMark Options::decimal(DecimalMark usual) const {
    if (!text("decimal")) return usual;
    switch (choice("decimal", {"point", "comma", "auto"}, 0)) {
        case 0: return DecimalMark::point;
        case 1: return DecimalMark::comma;
        default: return DecimalMark::either;
    }
}

std::size_t Options::choice(std::string_view key, std::initializer_list<std::string_view> allowed,
                            std::size_t usual) const {
    const auto given = text(key);
    if (!given) return usual;
    const auto* const found = std::find(allowed.begin(), allowed.end(), *given);
    if (found != allowed.end()) return static_cast<std::size_t>(found - allowed.begin());
    std::string list = "one of ";
    for (const auto& word : allowed) list += (list.size() == 7 ? "" : ", ") + std::string(word);
    throw error(key, list);
}

std::int64_t Options::integer(std::string_view key, std::int64_t low, std::int64_t high, std::int64_t usual) const {
    const auto given = text(key);
    if (!given) return usual;
    const auto value = parse_integer(*given);
    if (!value || *value < low || *value > high)
        throw error(key, "a whole number from " + std::to_string(low) + " to " + std::to_string(high));
    return *value;
}

Decimal Options::positive(std::string_view key, Decimal usual) const {
    const auto given = text(key);
    if (!given) return usual;
    const auto value = parse_decimal(*given);
    if (!value || value->value.digits <= 0) throw error(key, "a number above 0, as 0.01");
    return value->value;
}

std::optional<bool> flag_from(std::string_view word) {
    std::string lower(word);
    for (char& c : lower)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    if (lower == "true") return true;
    if (lower == "false") return false;
    return {};
}

bool Options::flag(std::string_view key, bool usual) const {
    const auto given = text(key);
    if (!given) return usual;
    if (const auto value = flag_from(*given)) return *value;
    throw error(key, "true or false");
}

std::vector<std::string_view> Options::list(std::string_view key) const {
    std::vector<std::string_view> words;
    auto rest = text(key).value_or("");
    while (!rest.empty()) {
        const std::size_t comma = std::min(rest.find(','), rest.size());
        std::string_view word = rest.substr(0, comma);
        while (!word.empty() && word.front() == ' ') word.remove_prefix(1);
        while (!word.empty() && word.back() == ' ') word.remove_suffix(1);
        words.push_back(word);
        rest.remove_prefix(std::min(comma + 1, rest.size()));
    }
    return words;
}

void Options::compression_sign() const { choice("compression_sign", {"+", "-"}, 0); }

}  // namespace halfturn
