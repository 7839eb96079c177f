// Recorded jobs as text for other programs: the JSON-lines log that `judge` takes, and decoded samples as CSV.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "record/reader.hpp"

namespace halfturn::record {

// Events as lines of a JSON-lines log, each ending in a line feed. Ticks give an empty text: `judge` makes them anew. Bytes
// of a line that marks its errors (termios PARMRK) are written plainly, a bad byte or a break as 00: what a terminal that
// does not mark them reads.
class EventLog {
public:
    explicit EventLog(const SetUp& set_up) : ports_(set_up.ports), escapes_(set_up.ports.size(), 0) {}
    std::string line(const Event& event);

private:
    std::string port_name(std::uint16_t port) const;
    std::string plain(std::uint16_t port, const std::string& bytes);

    std::vector<PortSetUp> ports_;
    std::vector<int> escapes_;  // how many bytes of an FF 00 x escape were seen on each port
};

using TextSink = std::function<void(std::string_view text)>;

void export_event_log(Store& store, const JobRow& job, const TextSink& out);

// RFC 4180, with the columns t_s, force_N, turns, screw_travel_mm, ring_travel_mm as far as the rig has them: decoded,
// calibrated, from the job's zero; from the job's compact samples, so a live job's times are to the microsecond, a log's
// to 10 ns. A cell is empty where that instrument gave nothing new at that instant. units_row: a second line with each
// column's unit, for programs that want one; `judge` reads files without it.
void export_samples_csv(Store& store, const JobRow& job, const TextSink& out, bool units_row = false);

}  // namespace halfturn::record
