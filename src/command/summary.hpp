// A judged job in plain words for the terminal, and the texts around a live job.
#pragma once

#include <string>

#include "core/set_up.hpp"
#include "watch/verdict.hpp"

namespace halfturn::command {

// The call, why, the numbers and what to look at; about 80 columns.
std::string summary_text(const Judgement& judgement, const SetUp& set_up);
std::string warning_text(const Warning& warning);
std::string reach_text(const SetUp& set_up);   // what can and cannot be judged with this rig
std::string cautions_text();
std::string wrapped(const std::string& text, std::size_t width, const std::string& indent);

}  // namespace halfturn::command
