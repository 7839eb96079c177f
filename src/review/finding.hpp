// One finding, one file: src/review/findings/<name>.cpp looks at what a recorded curve shows and says whether
// it speaks for one condition of the seat. Findings know no files, no clock and no other finding; CMake
// writes their list.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "review/evidence.hpp"

namespace halfturn::review {

struct FindingInfo {
    std::string_view id;                    // stable: never renamed, never reused
    std::string_view title;                 // "galled seat"
    std::vector<std::string_view> look_at;  // with eyes and a gauge
};

enum class Seen : std::uint8_t { no, yes, cant_tell };

// Where on the curve: slid (out) or pressed in (in), mm, and the force there. Equal ends: a point.
struct Place {
    double from_mm = 0, to_mm = 0, force_N = 0;
};

struct Answer {
    Seen seen = Seen::no;
    double times_threshold = 0;  // how far the weakest piece of evidence is beyond what would just do
    std::string says;            // yes: the evidence; cant_tell: why
    std::optional<Place> place;
};
inline Answer cannot(std::string why) { return {Seen::cant_tell, 0, std::move(why), {}}; }

enum class Strength : std::uint8_t { suspected, clear, strong };
std::string_view strength_name(Strength strength);
Strength strength_of(double times_threshold);  // below 1.3, below 2, from 2

class Finding {
public:
    virtual ~Finding() = default;
    virtual const FindingInfo& info() const = 0;
    virtual Answer look(const Evidence&) const = 0;
};

// One of each, sorted by file name.
std::vector<std::unique_ptr<Finding>> make_all_findings();

// Rates of a finding over the documented set of simulated jobs (finding_rates.csv, made by tests/review).
struct Rates {
    int without = 0, false_alarms = 0,
        open_without = 0;                     // jobs that do not have it; of them said to; can't tell
    int with = 0, missed = 0, open_with = 0;  // jobs that have it; of them not said; can't tell
};
std::optional<Rates> rates_of(std::string_view finding_id);

struct Found {
    FindingInfo info;
    Strength strength = Strength::suspected;
    Answer answer;
    std::optional<Rates> rates;
};

struct Findings {
    std::vector<Found>
        found;  // strongest first; "nothing-unusual" alone when there is none and enough was seen
    std::vector<Found> open;  // what can't be told, and why
};
Findings look_for_findings(const Evidence& evidence);

// The condition that is the absence of all others.
constexpr std::string_view nothing_unusual_id = "nothing-unusual";

// Does what was seen of the pull hide the seat's own shape? (A cocked or galled pull does.) Empty: no.
std::string shape_hidden(const Evidence& evidence);
Answer shape_answer(const Evidence& evidence, SeatShape shape,
                    double least_size);         // for findings that are a profile's shape
double cocked_times(const Evidence& evidence);  // 1 and more: cocked
double galled_times(const Evidence& evidence);  // 1 and more: galled

}  // namespace halfturn::review
