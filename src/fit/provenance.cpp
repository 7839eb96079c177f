#include "fit/provenance.hpp"

namespace halfturn::fit {

const char* basis_text(Basis basis) {
    switch (basis) {
        case Basis::looked_up:
            return "looked up";
        case Basis::standard_rule:
            return "by the standard's rule";
        case Basis::from_memory:
            return "from memory, not looked up";
        case Basis::measured:
            return "measured";
        case Basis::assumed:
            break;
    }
    return "assumed";
}

std::string source_text(const Source& source) {
    return source.text.empty() ? basis_text(source.basis)
                               : source.text + " (" + basis_text(source.basis) + ")";
}

}  // namespace halfturn::fit
