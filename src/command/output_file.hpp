// A file that somebody asked for: written under another name and renamed when whole, so that a file half written never stands
// in a good one's place. "-", pipes and devices are written to directly.
//   OutputFile file("job.csv");  file.add(text);  file.finish();
#pragma once

#include <string>
#include <string_view>

namespace halfturn::command {

class OutputFile {
public:
    // Throws BadInput when the file can't be made there.
    explicit OutputFile(const std::string& path);
    ~OutputFile();  // without finish() nothing is left
    OutputFile(const OutputFile&) = delete;
    OutputFile& operator=(const OutputFile&) = delete;

    // Both throw Failure when the disk does not take it.
    void add(std::string_view text);
    void finish();

    std::size_t bytes() const { return bytes_; }

private:
    std::string path_, writing_;
    int fd_ = -1;
    bool rename_ = false;
    std::size_t bytes_ = 0;
};

}  // namespace halfturn::command
