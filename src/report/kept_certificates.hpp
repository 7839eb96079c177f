// The certificates a store keeps, with what makes them hold or not.
//   for (const KeptCertificate& kept : read_kept_certificates(store)) … certificate_state(kept, "2024-05-31") …
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "files/json_value.hpp"
#include "record/store.hpp"

namespace halfturn::report {

struct KeptCertificate {
    // As calibrate::Certificate has them; what a certificate does not say is empty.
    std::string id, kind, rig, channel, serial, configuration, who, made, valid_until, reference, reference_certificate, supersedes;
    std::string superseded_by;  // id of the newest that corrects this one; empty: none
    std::optional<double> temperature_C;
    std::string readings;       // the raw readings, the file as it was given
    JsonValue result;           // what the calibration found; null when it can't be read
    std::string json;           // the whole, as it was kept
};

std::vector<KeptCertificate> read_kept_certificates(record::Store& store);  // newest first

// By id; nothing when there is none.
const KeptCertificate* find_certificate(const std::vector<KeptCertificate>& all, std::string_view id);

// On that day: "valid", "due soon", "expired", "superseded", or "no date" when it says no day.
std::string certificate_state(const KeptCertificate& kept, const std::string& day);

// SHA-256 of the certificate's JSON as it is kept, 64 hex digits.
std::string certificate_hash(const KeptCertificate& kept);

// A number of a result, or nothing.
std::optional<double> number_in(const JsonValue& result, std::string_view key);

}  // namespace halfturn::report
