#include "review/inspection.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "files/json_value.hpp"

namespace halfturn::review {
namespace {

constexpr std::array<std::string_view, 4> seen_names = {"clean", "scored", "corroded", "cracked"};
constexpr std::array<std::string_view, 4> decision_names = {"reuse", "rework", "bond", "scrap"};

template <class Enum>
std::optional<Enum> from_name(const std::array<std::string_view, 4>& names, std::string_view name) {
    const auto found = std::find(names.begin(), names.end(), name);
    if (found == names.end()) return {};
    return static_cast<Enum>(found - names.begin());
}

std::string text_at(const JsonValue& json, std::string_view key) {
    const JsonValue* found = json.find(key);
    return found == nullptr || found->is_null() ? std::string() : found->text();
}

std::optional<double> number_at(const JsonValue& json, std::string_view key) {
    const JsonValue* found = json.find(key);
    if (found == nullptr || found->is_null()) return {};
    return found->number();
}

std::string shown_number(double value) { return std::isfinite(value) ? number_text(value) : "no number"; }

}  // namespace

std::string_view seen_name(SeenOnSeat seen) { return seen_names[static_cast<std::size_t>(seen)]; }
std::optional<SeenOnSeat> seen_from_name(std::string_view name) { return from_name<SeenOnSeat>(seen_names, name); }
std::string_view decision_name(Decision decision) { return decision_names[static_cast<std::size_t>(decision)]; }
std::optional<Decision> decision_from_name(std::string_view name) { return from_name<Decision>(decision_names, name); }

void check_inspection(const Inspection& found) {
    if (!found.bore_mm && found.seen.empty() && !found.turns_freely && !found.decision && found.photo.empty() && found.text.empty())
        throw BadInput("an inspection needs at least one finding: the bore's size, what was seen, whether the bearing turns "
                       "freely, a photo, a decision or a text");
    if (found.seen.size() > 1 && std::find(found.seen.begin(), found.seen.end(), SeenOnSeat::clean) != found.seen.end())
        throw BadInput("a seat is either clean or scored, corroded or cracked: leave out one of the two");
    if (found.bore_u_um && !found.bore_mm) throw BadInput("an uncertainty was given without the bore's size it belongs to");
    if (found.bore_mm && found.gauge.empty()) throw BadInput("a bore's size needs the gauge it was measured with");
    if (found.bore_mm && !(*found.bore_mm >= 1 && *found.bore_mm <= 1000))
        throw BadInput("the bore's size must lie between 1 and 1000 mm, but is " + shown_number(*found.bore_mm));
    if (found.bore_u_um && !(*found.bore_u_um >= 0.01 && *found.bore_u_um <= 1000))
        throw BadInput("the bore's uncertainty must lie between 0.01 and 1000 µm, but is " + shown_number(*found.bore_u_um));
}

std::string inspection_json(const Inspection& found) {
    JsonWriter json;
    const auto number = [&](std::string_view key, const std::optional<double>& value) {
        json.key(key);
        if (value) json.number(*value);
        else json.null();
    };
    json.object().put("gauge", std::string_view(found.gauge));
    number("bore_mm", found.bore_mm);
    number("bore_u_um", found.bore_u_um);
    json.key("seen").array();
    for (const SeenOnSeat seen : found.seen) json.text(seen_name(seen));
    json.end().key("turns_freely");
    if (found.turns_freely) json.boolean(*found.turns_freely);
    else json.null();
    json.key("decision");
    if (found.decision) json.text(decision_name(*found.decision));
    else json.null();
    json.put("photo", std::string_view(found.photo)).put("text", std::string_view(found.text));
    return json.end().take();
}

Inspection inspection_from_json(std::string_view text) {
    const JsonValue json = JsonValue::parse(text, "the inspection");
    json.members();  // refuses anything but an object
    Inspection found;
    found.gauge = text_at(json, "gauge");
    found.bore_mm = number_at(json, "bore_mm");
    found.bore_u_um = number_at(json, "bore_u_um");
    if (const JsonValue* seen = json.find("seen"))
        for (const JsonValue& one : seen->items()) {
            const auto known = seen_from_name(one.text());
            if (!known) throw BadInput("the inspection saw \"" + one.text() + "\", which this program does not know");
            found.seen.push_back(*known);
        }
    if (const JsonValue* turns = json.find("turns_freely"); turns && !turns->is_null()) found.turns_freely = turns->boolean();
    if (const std::string decision = text_at(json, "decision"); !decision.empty()) {
        found.decision = decision_from_name(decision);
        if (!found.decision) throw BadInput("the inspection decided \"" + decision + "\", which this program does not know");
    }
    found.photo = text_at(json, "photo");
    found.text = text_at(json, "text");
    return found;
}

std::string inspection_words(const Inspection& found) {
    std::string words;
    const auto add = [&](const std::string& part) { words += (words.empty() ? "" : "; ") + part; };
    if (found.bore_mm)
        add("bore " + number_text(*found.bore_mm) + " mm" +
            (found.bore_u_um ? " (u " + number_text(*found.bore_u_um) + " µm)" : "") + " by " + found.gauge);
    for (const SeenOnSeat seen : found.seen) add(std::string(seen_name(seen)));
    if (found.turns_freely) add(*found.turns_freely ? "the bearing turns freely" : "the bearing does not turn freely");
    if (found.decision) add(std::string(decision_name(*found.decision)));
    if (!found.photo.empty()) add("photo " + found.photo.substr(0, 12));
    if (!found.text.empty()) add(found.text);
    return words;
}

}  // namespace halfturn::review
