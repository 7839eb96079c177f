// Recomputes every hash of a store and names exactly what does not fit: which job, which table, which row. Compact samples,
// which no hash covers, are made anew from the events and compared.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "record/store.hpp"

namespace halfturn::record {

struct Finding {
    std::string table;                  // "event_blocks", "chain", …; "schema" or "file" for what is no row
    std::int64_t row = 0;               // its number or id; for event_blocks the block's number in its job; 0: no one row
    std::optional<std::int64_t> job;    // where it belongs to one
    std::string says;
};

struct Verification {
    std::vector<Finding> findings;      // empty: all is as it was recorded
    std::string head;                   // the newest link now
    std::int64_t links = 0, jobs = 0, blocks = 0, events = 0;
    // For a head kept elsewhere: the link it is. Nothing when none was given or when no link has it (then a finding says so).
    std::optional<std::int64_t> kept_head_at;
};

// `kept_head`: 64 hex digits, with or without "sha256:" before them; empty for none. Throws BadInput when it is something
// else. Never throws for a damaged store: that is a finding.
Verification verify(Store& store, const std::string& kept_head = {});

}  // namespace halfturn::record
