// A calibration certificate: what was found, from which readings, by whom, against what, and until when it
// holds. Kept append-only by the store; a correction is a new certificate that names the one it supersedes.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace halfturn::calibrate {

struct Certificate {
    std::string kind;  // "force", "travel", "stiffness", "pitch", "lag", "eccentric", "side-load", "torsion", "class7500", "class376"
    std::string rig, channel,
        serial;                 // what was calibrated: rig, which of its channels, the instrument's number
    std::string configuration;  // drift, free span, speed: what the numbers hold for
    std::string who;
    std::string made;         // date, YYYY-MM-DD
    std::string valid_until;  // date, the last day it holds
    std::string reference,
        reference_certificate;  // what it was compared with, and that one's own certificate
    std::optional<double> temperature_C;
    std::string supersedes;   // id of the certificate this one corrects; empty: none
    std::string readings;     // the raw readings, the file as it was given
    std::string result_json;  // what the calibration printed with --json
};

// "force-20240531-1a2b3c4d": kind, day, and the first 8 hex digits of SHA-256 over certificate_json without the id. The same
// content has the same id, any other content another.
std::string certificate_id(const Certificate& certificate);

// One JSON object with every field by its name above, `result` as JSON inside, and `id`.
std::string certificate_json(const Certificate& certificate);

// ---- dates ----
// YYYY-MM-DD of a real day (proleptic Gregorian calendar).
bool is_date(std::string_view text);
// The same day `months` later, or that month's last day where there is no such day. Throws BadInput for no
// date.
std::string months_later(std::string_view date, int months);

enum class Validity { valid, due_soon, expired };  // due soon: 30 days or less are left
Validity validity_on(std::string_view valid_until,
                     std::string_view today);  // both dates; throws BadInput otherwise

}  // namespace halfturn::calibrate
