// A kept calibration certificate as a document, for paper and browser.
//   sheet::document_json(certificate_document(kept, "2024-05-31", store.head(), sheet::Paper::a4))
#pragma once

#include "report/kept_certificates.hpp"
#include "sheet/document.hpp"

namespace halfturn::report {

// `day`: the day it is printed, for what it says about validity.
sheet::Document certificate_document(const KeptCertificate& kept, const std::string& day, const std::string& head, sheet::Paper paper);

// "ISO 7500-1 class", … : what a kind of certificate is about.
std::string kind_words(std::string_view kind);

}  // namespace halfturn::report
