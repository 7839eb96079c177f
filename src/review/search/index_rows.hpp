// One job's rows in the index: what can be asked for, gathered from the store.
#pragma once

#include <cstdint>
#include <vector>

#include "record/sqlite.hpp"
#include "record/store.hpp"
#include "review/search/look.hpp"

namespace halfturn::review {

// Writes these jobs' rows anew. What was found on their curves stays.
void put_jobs(record::Database& index, record::Store& store, const std::vector<std::int64_t>& numbers);

// Adds what was found on a job's curve.
void put_look(record::Database& index, record::Store& store, std::int64_t number, const Look& look);

}  // namespace halfturn::review
