// A recorded job's curve, read from its stored bytes, ready to be laid over others.
#pragma once

#include "record/reader.hpp"
#include "review/comparison.hpp"

namespace halfturn::review {

// The label is "job N". Throws what judge_again throws.
PullCurve recorded_curve(record::Store& store, const record::JobRow& job);

}  // namespace halfturn::review
