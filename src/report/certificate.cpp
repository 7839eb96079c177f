#include "report/certificate.hpp"

#include <array>

#include "calibrate/csv_readings.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "report/blocks.hpp"
#include "report/result_blocks.hpp"

namespace halfturn::report {
namespace {

using namespace sheet;

struct KindWords {
    std::string_view kind, words, decision;
};

constexpr std::string_view no_limit = "No limit is judged here: the value is reported with its uncertainty.";
constexpr std::string_view stray_limit =
    "ISO 14253-1, where the readings' file allows a share of the force: inside only where the whole effect at what a job brings (the larger of shift "
    "and swing together and of the worst single reading), enlarged by the expanded uncertainty, stays within it; outside only where it, lessened by "
    "it, is still beyond; else undecided.";
constexpr std::array kinds_in_words = {
    KindWords{"force", "force, against a reference",
              "The lowest usable force is that from which upward the expanded uncertainty (95 %) stays within the share of the force that the readings' "
              "file allows. No other limit is judged."},
    KindWords{"travel", "travel, against gauge blocks",
              "ISO 14253-1: inside its limit only where the error, enlarged by the expanded uncertainty, stays inside; outside only where the error, "
              "lessened by it, is still outside; else undecided. Without a limit in the readings' file nothing is judged."},
    KindWords{"stiffness", "stiffness of the press", no_limit},
    KindWords{"pitch", "pitch of the screw",
              "ISO 14253-1: inside its tolerance only where the pitch keeps the expanded uncertainty away from both limits; outside only where it lies "
              "beyond one by more; else undecided. Without a nominal pitch nothing is judged."},
    KindWords{"eccentric", "load cell under a load beside its axis", stray_limit},
    KindWords{"side-load", "load cell under a load from the side", stray_limit},
    KindWords{"torsion", "load cell under the screw's torque", stray_limit},
    KindWords{"lag", "lag and rate of the instruments", no_limit},
    KindWords{"class7500", "class of the force indication, ISO 7500-1:2018",
              "Simple acceptance, as ISO 7500-1 has it: a class holds where each single value of accuracy, repeatability, reversibility and resolution, and "
              "the zero, lies within the class's limit; the uncertainty does not move the limits. The overall class is that of the worst value from 20 % of "
              "capacity upward."},
    KindWords{"class376", "class of a force-proving instrument, ISO 376:2011",
              "Simple acceptance, as ISO 376 has it: a class holds where each single value of reproducibility, repeatability, interpolation, reversibility "
              "and zero lies within the class's limit; the uncertainty does not move the limits. The overall class is that of the worst value."},
};

const KindWords* find(std::string_view kind) {
    for (const KindWords& one : kinds_in_words)
        if (one.kind == kind) return &one;
    return nullptr;
}

std::string state_words(const KeptCertificate& kept, const std::string& day) {
    if (!kept.superseded_by.empty()) return "Superseded by " + kept.superseded_by + ": do not use this one.";
    const std::string state = certificate_state(kept, day);
    if (state == "no date") return "This certificate says no day until which it holds.";
    const std::string due = "Holds until " + kept.valid_until + ", when it is due again. On " + day + " it is ";
    if (state == "expired") return due + "expired: calibrate again before relying on it.";
    return due + (state == "due soon" ? "valid, and due soon." : "valid.");
}

void put_readings(std::vector<Block>& blocks, const KeptCertificate& kept) {
    put_heading(blocks, "Raw readings");
    try {
        const auto table = calibrate::CsvReadings::from_text(kept.readings, kept.id);
        Facts notes;
        for (const auto& [key, value] : table.notes()) notes.add(key, value);
        notes.put(blocks);
        Table rows{{{"", Align::right, 0.5}}, std::vector<std::vector<std::string>>(table.rows())};
        for (std::size_t i = 0; i < table.rows(); ++i) rows.rows[i].push_back(std::to_string(i + 1));
        for (const std::string& name : table.names()) {
            rows.columns.push_back({name, Align::right, 1});
            const auto cells = table.texts(name);
            for (std::size_t i = 0; i < cells.size(); ++i) rows.rows[i].push_back(cells[i]);
        }
        blocks.push_back({std::move(rows)});
    } catch (const BadInput&) {
        put_text(blocks, kept.readings.empty() ? "None were kept." : kept.readings);
    }
}

}  // namespace

std::string kind_words(std::string_view kind) {
    const KindWords* words = find(kind);
    return std::string(words ? words->words : kind);
}

Document certificate_document(const KeptCertificate& kept, const std::string& day, const std::string& head, Paper paper) {
    Document document;
    document.title = "Calibration certificate";
    document.subtitle = kept.id + " · " + kind_words(kept.kind);
    document.foot = "Certificate " + kept.id + " · made by the workshop named in it, not by an accredited laboratory";
    document.paper = paper;
    auto& blocks = document.blocks;
    put_text(blocks, state_words(kept, day), Paragraph::Kind::boxed);
    Facts facts;
    facts.need("calibrated", kind_words(kept.kind))
        .need("rig", kept.rig)
        .need("channel", kept.channel)
        .need("instrument's serial number", kept.serial);
    facts.need("configuration", kept.configuration)
        .need("by", kept.who)
        .need("made on", kept.made)
        .need("holds until (due)", kept.valid_until);
    facts.need("compared with", kept.reference).need("that one's own certificate", kept.reference_certificate);
    facts.need("temperature", kept.temperature_C ? number_text(*kept.temperature_C) + " °C" : "");
    facts.add("corrects", kept.supersedes).add("superseded by", kept.superseded_by);
    facts.put(blocks);
    put_heading(blocks, "What was found");
    put_result(blocks, kept.result, kept.kind);
    if (const KindWords* words = find(kept.kind)) {
        put_heading(blocks, "Decision rule");
        put_text(blocks, std::string(words->decision));
    }
    put_heading(blocks, "About the uncertainty");
    put_text(blocks,
             "Standard uncertainties u are combined by the GUM (JCGM 100:2008). An expanded uncertainty is U = k u, with k from "
             "Student's t for the effective degrees of freedom and the coverage probability stated, 95 % unless it says "
             "otherwise. The values hold for the configuration and the day named above, not for how the instrument will drift.");
    put_readings(blocks, kept);
    put_check(blocks, Facts().add("certificate", kept.id).add("SHA-256 of the certificate", certificate_hash(kept)), head,
              "The hash is that of what halfturn calibrate certificate " + kept.id + " --json prints, without the line end.");
    put_text(blocks, "Signature:                                                              Date:");
    return document;
}

}  // namespace halfturn::report
