// All that is on record about one seat: its jobs, oldest first, with the figures that compare, and what people found there.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "record/reader.hpp"
#include "review/entries.hpp"

namespace halfturn::review {

// The figures of a job's newest judgement, as far as it has them.
struct JudgedFigures {
    std::optional<double> break_loose_N, break_loose_turns, peak_N;  // turns from contact
    std::optional<double> contact_turns;                             // from the job's zero
    std::optional<double> expected_N;                                // the middle of the expected band
};
JudgedFigures figures_from_judgement(std::string_view judgement_json);  // all empty for what can't be read

struct SeatJob {
    record::JobRow job;
    JudgedFigures figures;
};

struct SeatHistory {
    std::vector<SeatJob> jobs;   // oldest first
    std::vector<Entry> entries;  // oldest first
};

// An item without a name has no history: nothing says that two such jobs were on the same piece.
SeatHistory seat_history(record::Store& store, std::string_view item, std::string_view seat);

}  // namespace halfturn::review
