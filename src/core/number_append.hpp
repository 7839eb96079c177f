// A number's shortest text at the end of another, for tables of millions of them.
#pragma once

#include <string>

namespace halfturn {

// What number_text gives; quicker for numbers of few figures, as instruments print them.
void append_number_text(std::string& out, double value);

}  // namespace halfturn
