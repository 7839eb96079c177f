// Which jobs somebody wants to see. Every field narrows the list; an empty one leaves it as it is. Where a field holds
// several values, any of them will do.
//   JobQuery query;  query.words = "scored";  query.calls = {"look-closer"};  index.find(query)
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace halfturn::review {

struct JobQuery {
    std::string words;                   // as in match_expression(), over texts, notes, inspections, names
    std::vector<std::string> calls;      // ids: "look-closer"
    std::vector<std::string> warnings;   // ids of warnings that fired
    std::vector<std::string> findings;   // ids of what the curve says about the seat
    // Without regard to the case of A to Z; a * stands for any letters: "hub*".
    std::vector<std::string> bearings;   // any designation of the bearing: 6902 finds 61902-2RS too
    std::vector<std::string> items, seats, sets, who, rigs;
    std::optional<std::int64_t> since_utc_ms, until_utc_ms;  // started then or later; started before
    std::optional<bool> signed_off, set_aside;

    std::int64_t before = 0;             // only numbers below this; 0: from the newest. For pages of a long list
    std::size_t most = 0;                // 0: all
    // Counting every hit takes longer than finding the page somebody reads, and nobody needs the last of a hundred thousand. What
    // nothing narrows, and what is listed whole, is counted to its end all the same.
    std::int64_t count_to = 10'000;
};

// The names under which the command line and the page give the fields above: "search", "call", "bearing", "item", "seat",
// "set", "who", "rig", "since", "until", "warning", "finding", "signed-off" and "set-aside" (yes or no).
struct QueryField {
    const char *name, *help;
};
const std::vector<QueryField>& query_fields();
// Narrows the query by one value. Throws BadInput for a field that does not exist and for a value that can't be read.
void narrow(JobQuery& query, std::string_view field, const std::string& value);

// Throws BadInput for a call, warning or finding that does not exist, naming the nearest that does, for more than 50 values
// in a field, and what match_expression() throws.
void check_query(const JobQuery& query);

// A day ("2026-03-01") or a minute ("2026-03-01 14:30", also with a T), UTC as everywhere in the record.
// Its first instant, and the instant after its last. Throws BadInput naming `field`.
struct TimeSpan {
    std::int64_t first_utc_ms = 0, after_utc_ms = 0;
};
TimeSpan time_span(const std::string& text, const std::string& field);

// The designation that all names of one bearing share ("6902 ZZ" -> "61902"); what is not in the table stays as it is.
std::string one_bearing_name(const std::string& designation);

}  // namespace halfturn::review
