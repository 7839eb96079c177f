// The programs that stand beside this one: where they are, and one run of them, text in and bytes out.
//   const std::string pdf = run_sibling("halfturn-paper", {"pdf"}, json);
#pragma once

#include <string>
#include <vector>

namespace halfturn {

// The path of the program of this name in this program's own folder.
std::string beside_this_program(const std::string& name);

// Gives it `input` on its standard input and returns its standard output; its standard error is ours. Throws Failure when
// it is not there or ends with any other status than 0.
std::string run_sibling(const std::string& name, const std::vector<std::string>& arguments, const std::string& input);

}  // namespace halfturn
