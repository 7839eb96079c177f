// Judges a recorded job again from its stored bytes, and says whether that agrees with what was made of it before.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "record/reader.hpp"
#include "watch/judge.hpp"

namespace halfturn::record {

enum class Agreement : std::uint8_t {
    same,         // this version of the judge judged it before, and the fingerprint is the same
    differs,      // this version judged it before, and the fingerprint is another one: an event, the set-up or the judge changed
    new_version,  // only other versions judged it before
    first,        // nobody judged it before (cut off, or still running)
};
std::string_view agreement_name(Agreement agreement);  // "same", "differs", "new-version", "first"

struct Rejudged {
    SetUp set_up;
    Judgement now;
    std::vector<JudgedRow> before;  // oldest first
    Agreement agreement = Agreement::first;
    bool call_changed = false;      // from the newest judgement before
};

// Throws BadInput when the set-up names a wire format this program does not have.
void need_formats(const SetUp& set_up, std::int64_t job);

// Throws Failure when the stored events can't be read, BadInput when the set-up is from a newer program or names a format
// this one does not have.
Rejudged judge_again(Store& store, const JobRow& job, const Judge::SampleSink& on_sample = {});

}  // namespace halfturn::record
