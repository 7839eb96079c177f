// halfturn calibrate statement: what a rig's numbers are worth, per configuration, from the certificates it
// has. To be handed over with the rig.
#include <boost/json.hpp>
#include <map>
#include <memory>
#include <string>

#include "command/calibrate_commands.hpp"
#include "command/certificates.hpp"
#include "command/command.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "record/store.hpp"

namespace halfturn::command {
namespace {

namespace bj = boost::json;

// One number of a result, by its JSON pointer.
std::optional<double> number_at(const bj::value& result, const char* pointer) {
    boost::system::error_code error;
    const auto* found = result.find_pointer(pointer, error);
    if (error || !found || !found->is_number()) return {};
    return found->to_number<double>();
}

std::string force_words(const bj::value& result) {
    std::string out;
    boost::system::error_code error;
    if (const auto* points = result.find_pointer("/uncertainty", error);
        points && points->is_array() && !points->as_array().empty()) {
        const auto& top = points->as_array().back();
        const auto force = number_at(top, "/force_N"), U = number_at(top, "/U_N");
        if (force && U) out = "± " + figures_text(*U, 2) + " N at " + figures_text(*force, 3) + " N (95 %)";
    }
    if (const auto lowest = number_at(result, "/lowest_usable_N"))
        out += ", usable from " + figures_text(*lowest, 3) + " N";
    else
        out += ", nowhere within what was asked";
    return out;
}

std::string words(const std::string& kind, const bj::value& result) {
    const auto value = [&](const char* pointer) { return number_at(result, pointer); };
    if (kind == "force") return force_words(result);
    if (kind == "class7500" || kind == "class376") {
        boost::system::error_code error;
        const auto* name = result.find_pointer("/class", error);
        std::string out = std::string(kind == "class376" ? "ISO 376" : "ISO 7500-1") + " class " +
                          (name && name->is_string() ? std::string(name->as_string()) : "?");
        if (const auto lowest = value("/lowest_N")) out += ", from " + figures_text(*lowest, 3) + " N";
        return out;
    }
    if (kind == "travel" && value("/partial_surface_contact_error_mm") && value("/U_mm"))
        return "error up to " + fixed_text(*value("/partial_surface_contact_error_mm"), 3) + " mm, ± " +
               fixed_text(*value("/U_mm"), 3) + " mm (95 %)";
    if (kind == "stiffness" && value("/stiffness_N_per_mm") && value("/stiffness_u"))
        return figures_text(*value("/stiffness_N_per_mm"), 3) + " N/mm, standard uncertainty " +
               figures_text(*value("/stiffness_u"), 2) + " N/mm";
    if (kind == "pitch" && value("/pitch_mm") && value("/u_mm"))
        return fixed_text(*value("/pitch_mm"), 4) + " mm, standard uncertainty " +
               figures_text(*value("/u_mm"), 2) + " mm";
    if (kind == "lag")
        return value("/fastest_turns_per_s")
                   ? "turn no faster than " + figures_text(*value("/fastest_turns_per_s"), 2) +
                         " turns a second"
                   : "measured";
    return "?";
}

}  // namespace

void add_calibrate_statement(CLI::App& calibrate) {
    struct Options {
        std::string rig, store;
        bool json = false;
    };
    auto options = std::make_shared<Options>();
    auto* statement = calibrate.add_subcommand(
        "statement", "Say what a rig's numbers are worth, per configuration, from its newest certificates");
    statement->add_option("--for-rig", options->rig, "name of the rig")->required();
    statement->add_option("--store", options->store, "store the certificates are kept in");
    statement->add_flag("--json", options->json, "print JSON");
    statement->callback([options] {
        record::Store store = record::Store::open(
            options->store.empty() ? record::default_store_path() : options->store, record::Mode::read);
        const std::string day = today_utc();
        // The newest of each kind, channel and configuration; the list comes newest first.
        struct Entry {
            const KeptCertificate* kept;
            bj::value result;
        };
        std::map<std::string, std::map<std::pair<std::string, std::string>, Entry>> by_configuration;
        const auto all = read_kept_certificates(store);
        for (const auto& kept : all) {
            if (kept.rig != options->rig || !kept.superseded_by.empty()) continue;
            boost::system::error_code error;
            const auto whole = bj::parse(kept.json, error);
            if (error || !whole.is_object()) continue;
            const auto* result = whole.as_object().if_contains("result");
            if (result)
                by_configuration[kept.configuration].try_emplace({kept.kind, kept.channel},
                                                                 Entry{&kept, *result});
        }
        if (by_configuration.empty())
            throw BadInput("no certificate is kept for the rig \"" + options->rig +
                           "\"; `halfturn calibrate certificates` lists what is");
        JsonWriter json;
        json.object().put("rig", options->rig).put("day", day).key("configurations").array();
        std::string text = "What " + options->rig + " is worth on " + day + "\n";
        for (const auto& [configuration, entries] : by_configuration) {
            json.object().put("configuration", configuration).key("certificates").array();
            text += "\n" + (configuration.empty() ? std::string("As it is") : configuration) + ":\n";
            for (const auto& [key, entry] : entries) {
                const std::string state = certificate_state(*entry.kept, day),
                                  says = words(key.first, entry.result);
                json.object()
                    .put("kind", key.first)
                    .put("channel", key.second)
                    .put("says", says)
                    .put("id", entry.kept->id);
                json.put("valid_until", entry.kept->valid_until).put("state", state).end();
                text += "  " + key.first + (key.second.empty() ? "" : ", " + key.second) + ": " + says +
                        "\n    " + entry.kept->id + ", " + state + " (until " + entry.kept->valid_until +
                        ")\n";
            }
            json.end().end();
        }
        json.end().put("head", store.head()).end();
        text += "\nHead of the store: " + store.head() + "\n";
        print(options->json ? json.take() + "\n" : text);
    });
}

}  // namespace halfturn::command
