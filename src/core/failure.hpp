// What ends a command: bad input (exit status 2) or a failure of ours or the system's (exit status 1).
// What merely happens on a wire is a value, never an exception; see reading.hpp.
#pragma once

#include <stdexcept>
#include <string>

namespace halfturn {

// The user gave something that can't be used. The text is one sentence a mechanic understands: where (file, line,
// key or byte), what was expected, how to mend it.
class BadInput : public std::runtime_error {
public:
    using std::runtime_error::runtime_error;
};

// The system or the tool itself failed: a full disk, a port that can't be opened. Same style of text.
class Failure : public std::runtime_error {
public:
    using std::runtime_error::runtime_error;
};

}  // namespace halfturn
