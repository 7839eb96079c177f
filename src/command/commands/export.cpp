// halfturn export: a job as a log or as CSV for other programs, or the whole store as one file.
#include <sys/stat.h>

#include <memory>
#include <string>

#include "command/command.hpp"
#include "command/output_file.hpp"
#include "command/store_option.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "record/export.hpp"

namespace halfturn::command {
namespace {

struct ExportOptions {
    std::string store, id, csv, jsonl, copy;
    bool units_row = false, json = false;
};

void tell(const ExportOptions& options, const char* what, const std::string& file, const std::string& job, std::size_t bytes) {
    if (file == "-") return;
    if (!options.json) return print(std::string(what) + (job.empty() ? "" : " of job " + job) + " written to " + file + "\n");
    JsonWriter json;
    json.object().put("file", std::string_view(file));
    if (!job.empty()) json.put("job", std::string_view(job));
    json.put("bytes", static_cast<std::int64_t>(bytes));
    print(json.end().take() + "\n");
}

void export_job(record::Store& store, const ExportOptions& options) {
    const record::JobRow job = record::find_job(store, options.id);
    const bool csv = !options.csv.empty();
    const std::string& file = csv ? options.csv : options.jsonl;
    OutputFile output(file);
    const auto sink = [&](std::string_view text) { output.add(text); };
    if (csv) record::export_samples_csv(store, job, sink, options.units_row);
    else record::export_event_log(store, job, sink);
    output.finish();
    tell(options, csv ? "samples" : "events", file, job.job_id, output.bytes());
}

void add_export(CLI::App* command, Status&) {
    auto options = std::make_shared<ExportOptions>();
    command->add_option("id", options->id, "The job's number or id");
    auto* csv = command->add_option("--csv", options->csv, "Decoded samples as CSV (RFC 4180) into this file; - prints them");
    command->add_flag("--units-row", options->units_row, "A second line in the CSV with each column's unit")->needs(csv);
    auto* jsonl = command->add_option("--jsonl", options->jsonl, "Raw events as the JSON-lines log that `judge` takes; - prints them");
    auto* copy = command->add_option("--store-copy", options->copy, "The whole store into this new file, also while jobs run");
    csv->excludes(jsonl)->excludes(copy);
    jsonl->excludes(copy);
    add_store_option(*command, options->store);
    command->add_flag("--json", options->json, "Say what was written as JSON");
    command->callback([options] {
        if (options->copy.empty() && options->csv.empty() && options->jsonl.empty())
            throw BadInput("export needs one of --csv FILE, --jsonl FILE (with a job) or --store-copy FILE");
        if (options->copy.empty() && options->id.empty())
            throw BadInput("which job? give its number, as `halfturn review` lists it: halfturn export 17 --csv FILE");
        if (!options->copy.empty() && !options->id.empty())
            throw BadInput("--store-copy copies all jobs: leave out the job's number");
        record::Store store = open_store(options->store, record::Mode::read);
        if (options->copy.empty()) return export_job(store, *options);
        store.copy_to(options->copy);
        struct stat facts {};
        ::stat(options->copy.c_str(), &facts);
        tell(*options, "the store", options->copy, {}, static_cast<std::size_t>(facts.st_size));
    });
}

}  // namespace

extern const Command command_export;
const Command command_export{"export", "Write a job for other programs, or copy the whole store into one file", add_export};

}  // namespace halfturn::command
