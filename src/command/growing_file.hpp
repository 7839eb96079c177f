// A file of readings that only grows: made anew, each line on the disk before the next reading is asked for.
#pragma once

#include <string>

#include "ports/serial_port.hpp"

namespace halfturn::command {

class GrowingFile {
public:
    // Throws BadInput when the file is there already or can't be made.
    explicit GrowingFile(const std::string& path);
    void line(const std::string& text);  // throws Failure when the disk does not take it

private:
    std::string path_;
    Descriptor file_;
};

}  // namespace halfturn::command
