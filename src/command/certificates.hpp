// The certificates a store keeps, as the commands need them: listed with their state, and put to use on a
// rig's channels.
#pragma once

#include <string>
#include <vector>

#include "files/rig_file.hpp"
#include "record/store.hpp"

namespace halfturn::command {

struct KeptCertificate {
    std::string id, kind, rig, channel, configuration, made, valid_until, supersedes, superseded_by, json;
};

std::vector<KeptCertificate> read_kept_certificates(record::Store& store);  // newest first
std::string certificate_state(const KeptCertificate& kept,
                              const std::string& today);  // "valid", "due soon", "expired", "superseded"

std::string certificate_page(const KeptCertificate& kept,
                             const std::string& today);  // for people, raw readings and all

std::string today_utc();  // YYYY-MM-DD

// Channels that name a certificate (calibration = "force-…") get its coefficients. Returns one sentence for
// each thing that is not in order, for the job's marks: no certificate, one that is due, expired or
// superseded. A rig runs on, so marked. Throws BadInput when a named certificate is not kept, or is of a kind
// that has no coefficients.
std::vector<std::string> apply_certificates(RigFile& rig, record::Store& store, const std::string& today);

}  // namespace halfturn::command
