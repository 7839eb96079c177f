// The certificates a store keeps, as the commands need them: printed, and put to use on a rig's channels.
#pragma once

#include <string>
#include <vector>

#include "files/rig_file.hpp"
#include "record/store.hpp"
#include "report/kept_certificates.hpp"

namespace halfturn::command {

std::string certificate_page(const report::KeptCertificate& kept,
                             const std::string& today);  // for people, raw readings and all

std::string today_utc();  // YYYY-MM-DD

bool names_certificates(const RigFile& rig);  // any of its channels

// Channels that name a certificate (calibration = "force-…") get its coefficients; those that name one of eccentric load get
// how far the cell swings per mm beside its axis, unless it no longer holds. Returns one sentence for
// each thing that is not in order, for the job's marks: no certificate, one that is due, expired or
// superseded. A rig runs on, so marked. Throws BadInput when a named certificate is not kept, or is of a kind
// that has no coefficients.
std::vector<std::string> apply_certificates(RigFile& rig, record::Store& store, const std::string& today);

}  // namespace halfturn::command
