// What the index keeps of a job's curve, which takes judging it again and reviewing its seat.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "record/reader.hpp"
#include "review/likeness.hpp"

namespace halfturn::review {

struct FindingSeen {
    std::string id, says;
};

struct Look {
    std::vector<FindingSeen> findings;
    PullFeatures features;
};

// For the index's column of that name.
std::string features_bytes(const PullFeatures& features);
PullFeatures features_from_bytes(std::string_view bytes);  // all empty for anything else

// Findings come from this program's judge and findings; an index made with others is looked through again.
std::string look_version();

// Empty for a job that can't be judged again: rejudge and verify say what is wrong with it.
Look look_at(record::Store& store, const record::JobRow& job);

}  // namespace halfturn::review
