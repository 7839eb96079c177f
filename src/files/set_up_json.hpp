// A job's frozen set-up as JSON text and back, every double with the same bits. This is the form the record keeps.
#pragma once

#include <string>
#include <string_view>

#include "core/set_up.hpp"

namespace halfturn {

// Keys are the names in SetUp and its parts. Numbers that JSON can't write are the texts "nan", "inf" and "-inf".
std::string set_up_json(const SetUp& set_up);

// A key that is missing keeps SetUp's default, which is what the judge did before the key existed; a key not known here is
// passed over, since a field that would change a verdict raises `version`. Throws BadInput naming `name_for_errors` and the
// key for what can't be read, and for a version newer than this program knows.
SetUp set_up_from_json(std::string_view json, const std::string& name_for_errors);

constexpr int newest_set_up_version = 1;

}  // namespace halfturn
