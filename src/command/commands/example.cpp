// halfturn example KIND: a commented file to start from.
#include <algorithm>
#include <memory>

#include "command/command.hpp"
#include "command/examples.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "core/nearest_word.hpp"

namespace halfturn::command {
namespace {

void add_example(CLI::App* command, Status&) {
    struct Options { std::string kind; bool json = false; };
    auto options = std::make_shared<Options>();
    command->add_option("kind", options->kind, "Which one; without it, the list");
    command->add_flag("--json", options->json, "Print as JSON");
    command->callback([options] {
        if (options->kind.empty()) {
            JsonWriter json(2);
            json.array();
            std::string text;
            std::size_t widest = 0;
            for (const Example& e : examples()) widest = std::max(widest, e.kind.size());
            for (const Example& e : examples()) {
                text += std::string(e.kind) + std::string(widest + 2 - e.kind.size(), ' ') + std::string(e.what) + "\n";
                json.object().put("kind", e.kind).put("what", e.what).end();
            }
            json.end();
            return print(options->json ? json.take() + "\n" : text);
        }
        const Example* found = find_example(options->kind);
        if (!found) {
            std::vector<std::string> kinds;
            for (const Example& e : examples()) kinds.emplace_back(e.kind);
            const std::string near = nearest_word(options->kind, kinds);
            std::string list;
            for (const auto& kind : kinds) list += (list.empty() ? "" : ", ") + kind;
            throw BadInput("there is no example \"" + options->kind + "\"" +
                           (near.empty() ? "; there are " + list : "; did you mean " + near + "?"));
        }
        if (!options->json) return print(std::string(found->text));
        JsonWriter json;
        json.object().put("kind", found->kind).put("text", found->text).end();
        print(json.take() + "\n");
    });
}

}  // namespace

extern const Command command_example;
const Command command_example{"example", "Print a commented file to start from: job, job-in, rig, fit, budget, …", add_example};

}  // namespace halfturn::command
