// halfturn verify: recomputes every hash of the store and names exactly what was altered.
#include <memory>
#include <string>

#include "command/command.hpp"
#include "command/store_option.hpp"
#include "command/summary.hpp"
#include "core/json_writer.hpp"
#include "record/verify.hpp"

namespace halfturn::command {
namespace {

struct VerifyOptions {
    std::string store, head;
    bool json = false;
};

std::string as_json(const record::Verification& result, const std::string& store) {
    JsonWriter json;
    json.object().put("store", std::string_view(store)).put("unaltered", result.findings.empty());
    json.put("head", "sha256:" + result.head).put("links", result.links).put("jobs", result.jobs);
    json.put("blocks", result.blocks).put("events", result.events);
    if (result.kept_head_at) json.put("kept_head_at_link", *result.kept_head_at);
    json.key("findings").array();
    for (const record::Finding& finding : result.findings) {
        json.object().put("table", std::string_view(finding.table)).key("row");
        if (finding.row > 0) json.integer(finding.row);
        else json.null();
        json.key("job");
        if (finding.job) json.integer(*finding.job);
        else json.null();
        json.put("says", std::string_view(finding.says)).end();
    }
    return json.end().end().take() + "\n";
}

std::string as_text(const record::Verification& result, const std::string& store, bool head_given) {
    std::string text = store + ": " + std::to_string(result.jobs) + " jobs, " + std::to_string(result.events) + " events in " +
                       std::to_string(result.blocks) + " blocks, " + std::to_string(result.links) + " links\n";
    for (const record::Finding& finding : result.findings) {
        std::string line = "ALTERED  " + finding.table;
        if (finding.row > 0) line += " " + std::to_string(finding.row);
        if (finding.job && (finding.table != "jobs" || finding.row != *finding.job)) line += " of job " + std::to_string(*finding.job);
        text += wrapped(line + ": " + finding.says, 80, "         ");
    }
    if (result.findings.empty()) text += "Every hash fits: nothing was altered";
    if (result.findings.empty() && head_given) text += ", and the head kept elsewhere is link " + std::to_string(*result.kept_head_at);
    if (result.findings.empty()) text += ".\n";
    text += "Head: sha256:" + result.head + "\n";
    if (result.findings.empty() && !head_given)
        text += "Whoever owns the file could rebuild the whole chain. Against that, give a head\n"
                "that was kept elsewhere (every report and certificate prints it): halfturn\nverify --head HASH\n";
    return text;
}

void add_verify(CLI::App* command, Status& status) {
    auto options = std::make_shared<VerifyOptions>();
    add_store_option(*command, options->store);
    command->add_option("--head", options->head, "A head kept elsewhere, as a report or certificate prints it (64 hex digits)");
    command->add_flag("--json", options->json, "Print JSON");
    command->callback([options, &status] {
        record::Store store = open_store(options->store, record::Mode::read);
        const record::Verification result = record::verify(store, options->head);
        print(options->json ? as_json(result, store.path()) : as_text(result, store.path(), !options->head.empty()));
        status.code = result.findings.empty() ? 0 : 1;
    });
}

}  // namespace

extern const Command command_verify;
const Command command_verify{"verify", "Check every recorded job against its hashes and name what was altered", add_verify};

}  // namespace halfturn::command
