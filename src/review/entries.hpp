// What people add to the record: notes, inspections, sign-offs, jobs set aside, and the taking back of any of these. Each
// is a further chained row; nothing is ever edited. Who adds is always named.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "record/reader.hpp"
#include "review/inspection.hpp"

namespace halfturn::review {

// Each returns the entry's number and throws BadInput for what the caller can mend (no name, no text where one is needed),
// Failure when the store can't be written.
std::int64_t add_note(record::Store& store, const record::JobRow& job, const std::string& who, const std::string& text);

// A reviewer stands for a job as it is judged now: call, judge and fingerprint of its newest judgement and the chain's head
// go into the entry, so that what was signed can't be exchanged. `text` may be empty. Throws BadInput for a job that still
// runs or was never judged.
std::int64_t add_sign_off(record::Store& store, const record::JobRow& job, const std::string& who, const std::string& text);

// A job that trends, families and comparisons shall leave out, and why.
std::int64_t add_set_aside(record::Store& store, const record::JobRow& job, const std::string& who, const std::string& text);

// An earlier entry no longer holds, and why. A taking-back itself can't be taken back: add the entry anew.
std::int64_t add_taken_back(record::Store& store, std::int64_t entry, const std::string& who, const std::string& text);

// Of a job's seat, or of any seat. `photo` (its bytes) may be empty.
std::int64_t add_inspection(record::Store& store, const record::JobRow& job, const std::string& who, Inspection found,
                            std::string_view photo = {});
std::int64_t add_inspection(record::Store& store, const std::string& item, const std::string& seat, const std::string& who,
                            Inspection found, std::string_view photo = {});

struct Entry {
    record::EntryRow row;
    std::string words;        // in plain words, whatever its kind
    bool taken_back = false;  // a later entry took it back
    bool stands_as(std::string_view kind) const { return row.kind == kind && !taken_back; }
};
std::vector<Entry> entries_of_job(record::Store& store, std::int64_t job);
// Of the seat as such and of every job on it, oldest first.
std::vector<Entry> entries_of_seat(record::Store& store, std::string_view item, std::string_view seat);

}  // namespace halfturn::review
