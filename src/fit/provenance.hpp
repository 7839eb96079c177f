// What a number rests on. Everything halfturn prints carries one of these, so that nobody takes a guess for a standard.
#pragma once

#include <string>

namespace halfturn::fit {

enum class Basis {
    looked_up,      // printed in the named source, which was read
    standard_rule,  // computed by the standard's own rule from values that were looked up
    from_memory,    // a well-known value that was not looked up
    measured,       // given by the user as a measurement
    assumed,        // an assumption of ours, or common practice without a published source
};

// "looked up", "by the standard's rule", "from memory, not looked up", "measured", "assumed".
const char* basis_text(Basis basis);

struct Source {
    Basis basis = Basis::assumed;
    std::string text;  // the standard, handbook or reasoning
};

// "ISO 286-1 (looked up)".
std::string source_text(const Source& source);

}  // namespace halfturn::fit
