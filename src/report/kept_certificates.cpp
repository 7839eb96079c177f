#include "report/kept_certificates.hpp"

#include "calibrate/certificate.hpp"
#include "core/failure.hpp"
#include "core/sha256.hpp"
#include "record/reader.hpp"

namespace halfturn::report {
namespace {

std::string text_in(const JsonValue& object, const char* key) {
    const JsonValue* value = object.find(key);
    return value && value->kind() == JsonValue::Kind::text ? value->text() : std::string();
}

void read_into(KeptCertificate& kept, const JsonValue& object) {
    kept.kind = text_in(object, "kind");
    kept.rig = text_in(object, "rig");
    kept.channel = text_in(object, "channel");
    kept.serial = text_in(object, "serial");
    kept.configuration = text_in(object, "configuration");
    kept.who = text_in(object, "who");
    kept.made = text_in(object, "made");
    kept.valid_until = text_in(object, "valid_until");
    kept.reference = text_in(object, "reference");
    kept.reference_certificate = text_in(object, "reference_certificate");
    kept.supersedes = text_in(object, "supersedes");
    kept.readings = text_in(object, "readings");
    kept.temperature_C = number_in(object, "temperature_C");
    if (const JsonValue* result = object.find("result")) kept.result = *result;
}

}  // namespace

std::optional<double> number_in(const JsonValue& result, std::string_view key) {
    const JsonValue* value = result.find(key);
    return value && value->kind() == JsonValue::Kind::number ? std::optional(value->number()) : std::nullopt;
}

std::vector<KeptCertificate> read_kept_certificates(record::Store& store) {
    std::vector<KeptCertificate> all;
    for (const auto& row : record::read_certificates(store)) {
        KeptCertificate kept;
        try {
            read_into(kept, JsonValue::parse(row.json, row.certificate_id));
        } catch (const BadInput&) {
            kept = {};  // listed as far as it can be read; verify says what is wrong with it
        }
        kept.id = row.certificate_id;
        kept.json = row.json;
        all.push_back(std::move(kept));
    }
    for (auto& kept : all)
        for (const auto& other : all)
            if (kept.superseded_by.empty() && !other.supersedes.empty() && other.supersedes == kept.id) kept.superseded_by = other.id;
    return all;
}

const KeptCertificate* find_certificate(const std::vector<KeptCertificate>& all, std::string_view id) {
    for (const auto& kept : all)
        if (kept.id == id) return &kept;
    return nullptr;
}

std::string certificate_state(const KeptCertificate& kept, const std::string& day) {
    if (!kept.superseded_by.empty()) return "superseded";
    if (!calibrate::is_date(kept.valid_until)) return "no date";
    switch (calibrate::validity_on(kept.valid_until, day)) {
        case calibrate::Validity::valid: return "valid";
        case calibrate::Validity::due_soon: return "due soon";
        default: return "expired";
    }
}

std::string certificate_hash(const KeptCertificate& kept) { return hex(sha256(kept.json)); }

}  // namespace halfturn::report
