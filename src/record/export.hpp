// Recorded jobs as text for other programs: the JSON-lines log that `judge` takes, and decoded samples as CSV.
#pragma once

#include <functional>
#include <string>
#include <string_view>

#include "record/reader.hpp"

namespace halfturn::record {

// One event as a line of a JSON-lines log, ending in a line feed. Ticks give an empty text: `judge` makes them anew.
std::string event_log_line(const Event& event, const SetUp& set_up);

using TextSink = std::function<void(std::string_view text)>;

void export_event_log(Store& store, const JobRow& job, const TextSink& out);

// RFC 4180, with the columns t_s, force_N, turns, screw_travel_mm, ring_travel_mm as far as the rig has them: decoded,
// calibrated, from the job's zero. A cell is empty where that instrument gave nothing new at that instant.
void export_samples_csv(Store& store, const JobRow& job, const TextSink& out);

}  // namespace halfturn::record
