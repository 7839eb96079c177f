// A query as it stands after the "?" of an address (URL Standard, application/x-www-form-urlencoded).
//   query_pairs("who=Zo%C3%AB&item=hub+7")  ->  {{"who", "Zoë"}, {"item", "hub 7"}}
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace halfturn::command {

// Throws BadInput for a % that no two hexadecimal digits follow, for more than 200 pairs, and for bytes that are no UTF-8.
std::vector<std::pair<std::string, std::string>> query_pairs(std::string_view query);

// "3,5" -> {"3", "5"}
std::vector<std::string> split_list(std::string_view text);

}  // namespace halfturn::command
