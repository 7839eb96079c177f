#include "command/calibrate_keep.hpp"

#include <algorithm>

#include "command/certificates.hpp"
#include "command/command.hpp"
#include "command/paper_file.hpp"
#include "core/calm_text.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "files/whole_file.hpp"
#include "record/store.hpp"
#include "report/certificate.hpp"

namespace halfturn::command {
namespace {

using namespace calibrate;
using record::Store;

constexpr std::size_t largest_readings_bytes = std::size_t{16} << 20;

struct ReadingsOptions {
    std::string file, store;
    bool json = false, keep = false;
    Certificate certificate;
    int valid_months = 12;
};

std::string store_path(const std::string& given) {
    return given.empty() ? record::default_store_path() : given;
}

struct KeptNow {
    std::string id, head;  // head of the store's chain with it in: proof only where it is kept elsewhere too
};

KeptNow keep(const ReadingsOptions& options, const std::string& kind, const std::string& readings,
             const std::string& result) {
    Certificate certificate = options.certificate;
    certificate.kind = kind;
    certificate.readings = readings;
    certificate.result_json = result;
    if (certificate.made.empty()) certificate.made = today_utc();
    if (!is_date(certificate.made))
        throw BadInput("--date must be a date like 2024-05-31, but is \"" + certificate.made + "\"");
    certificate.valid_until = months_later(certificate.made, options.valid_months);
    if (certificate.who.empty() || certificate.rig.empty() || certificate.reference.empty())
        throw BadInput(
            "a certificate needs --who, --for-rig and --reference: who calibrated what against what");
    Store store = Store::open(store_path(options.store), record::Mode::write);
    const auto kept = report::read_kept_certificates(store);
    const std::string id = certificate_id(certificate);
    for (const auto& other : kept) {
        if (other.id == id) throw BadInput("this very certificate is kept already as " + id);
        if (other.id == certificate.supersedes && !other.superseded_by.empty())
            throw BadInput(other.id + " was superseded by " + other.superseded_by +
                           " already; supersede that one");
    }
    const auto is_named = [&](const report::KeptCertificate& other) { return other.id == certificate.supersedes; };
    if (!certificate.supersedes.empty() && std::none_of(kept.begin(), kept.end(), is_named))
        throw BadInput("--supersedes names " + certificate.supersedes +
                       ", but no such certificate is kept; `halfturn calibrate certificates` lists them");
    store.add_certificate(id, certificate_json(certificate));
    return {id, store.head()};
}

void run(const ReadingsOptions& options, const std::string& kind, const MakeReport& make) {
    const std::string text = whole_file(options.file, largest_readings_bytes);
    const CsvReadings table = CsvReadings::from_text(text, options.file);
    Report report;
    try {
        report = make(table);
    } catch (const BadInput& error) {
        // Errors found in the table name the file already; those found in the numbers don't.
        const std::string what = error.what();
        if (what.starts_with(options.file)) throw;
        throw table.error(what);
    }
    if (options.keep) {
        const KeptNow kept = keep(options, kind, text, report.json);
        report.json.insert(report.json.size() - 1, ",\"certificate\":" + json_quoted(kept.id) +
                                                       ",\"head\":" + json_quoted(kept.head));
        report.text += "Kept as certificate " + kept.id + "\nHead of the store: " + kept.head + "\n";
    }
    print(options.json ? report.json + "\n" : report.text);
}

void add_readings_options(CLI::App& command, const std::string& name, const MakeReport& make) {
    auto options = std::make_shared<ReadingsOptions>();
    command.add_option("FILE", options->file, "CSV file")->required();
    command.add_flag("--json", options->json, "print one JSON object");
    auto* keeps = command.add_flag("--keep", options->keep, "keep the result as a certificate");
    const auto add_text = [&](const char* option, std::string& into, const char* what) {
        command.add_option(option, into, what)->needs(keeps);
    };
    auto& c = options->certificate;
    add_text("--who", c.who, "who calibrated");
    add_text("--for-rig", c.rig, "name of the rig");
    add_text("--channel", c.channel, "which of its channels");
    add_text("--serial", c.serial, "serial number of the instrument");
    add_text("--configuration", c.configuration, "what it holds for: drift, free span, speed");
    add_text("--reference", c.reference, "what it was compared with");
    add_text("--reference-certificate", c.reference_certificate, "that one's own certificate");
    add_text("--supersedes", c.supersedes, "id of the certificate this one corrects");
    add_text("--date", c.made, "day it was made (default: today, UTC)");
    add_text("--store", options->store, "store to keep it in");
    command.add_option("--temperature", c.temperature_C, "temperature, degC")->needs(keeps);
    command.add_option("--valid-months", options->valid_months, "months until it is due again (default 12)")
        ->needs(keeps)
        ->check(CLI::Range(1, 120));
    command.callback([options, name, make] { run(*options, name, make); });
}

struct KeptOptions {
    std::string store, id;
    PaperOptions paper;
    bool json = false;
};

void list_certificates(const KeptOptions& options) {
    Store store = Store::open(store_path(options.store), record::Mode::read);
    const std::string day = today_utc();
    JsonWriter json;
    json.array();
    std::string text;
    for (const auto& kept : report::read_kept_certificates(store)) {
        const std::string state = report::certificate_state(kept, day);
        json.object()
            .put("id", kept.id)
            .put("kind", kept.kind)
            .put("rig", kept.rig)
            .put("channel", kept.channel);
        json.put("made", kept.made).put("valid_until", kept.valid_until).put("state", state);
        json.put("supersedes", kept.supersedes).put("superseded_by", kept.superseded_by).end();
        text += kept.id + "  " + calm_line(kept.rig) + (kept.channel.empty() ? "" : ", " + calm_line(kept.channel)) +
                "  made " + kept.made + ", holds until " + kept.valid_until + ": " + state +
                (kept.superseded_by.empty() ? "" : " by " + kept.superseded_by) + "\n";
    }
    if (text.empty()) text = "No certificates are kept here.\n";
    print(options.json ? json.end().take() + "\n" : text);
}

void show_certificate(const KeptOptions& options) {
    check_paper_options(options.paper);
    Store store = Store::open(store_path(options.store), record::Mode::read);
    const auto all = report::read_kept_certificates(store);
    const report::KeptCertificate* found = report::find_certificate(all, options.id);
    if (!found)
        throw BadInput("no certificate " + options.id +
                       " is kept; `halfturn calibrate certificates` lists them");
    const std::string day = today_utc();
    write_papers(options.paper, report::certificate_document(*found, day, store.head(), options.paper.size()));
    print(options.json ? found->json + "\n" : calm_lines(certificate_page(*found, day)) + papers_written(options.paper));
}

void add_store_and_json(CLI::App& command, KeptOptions& options) {
    command.add_option("--store", options.store, "store they are kept in");
    command.add_flag("--json", options.json, "print JSON");
}

}  // namespace

void add_readings_command(CLI::App& calibrate, const std::string& name, const std::string& help, const MakeReport& make,
                          const std::function<void(CLI::App&)>& more) {
    add_subcommand(calibrate, name, help, [name, make, more](CLI::App& command) {
        add_readings_options(command, name, make);
        more(command);
    });
}

void add_calibrate_certificates(CLI::App& calibrate) {
    add_subcommand(calibrate, "certificates", "List the certificates kept, newest first, and whether they still hold", [](CLI::App& list) {
        auto options = std::make_shared<KeptOptions>();
        add_store_and_json(list, *options);
        list.callback([options] { list_certificates(*options); });
    });
    add_subcommand(calibrate, "certificate", "Print one certificate as it was kept, raw readings and all", [](CLI::App& one) {
        auto options = std::make_shared<KeptOptions>();
        one.add_option("ID", options->id, "its id")->required();
        add_paper_options(one, options->paper, "the certificate");
        add_store_and_json(one, *options);
        one.callback([options] { show_certificate(*options); });
    });
}

}  // namespace halfturn::command
