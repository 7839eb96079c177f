// A judged job in plain words for the terminal, and the texts around a live job.
#pragma once

#include <string>

#include "core/set_up.hpp"
#include "watch/verdict.hpp"

namespace halfturn::command {

// A call's id as page and reports say it; what is no call as it is.
std::string call_in_words(const std::string& id);
// The call, why, the numbers and what to look at; about 80 columns.
std::string summary_text(const Judgement& judgement, const SetUp& set_up);
std::string warning_text(const Warning& warning);
// Its parts, each of whole lines of at most so many columns: what was seen, what the hands do, what to look at.
std::string warning_says(const Warning& warning, std::size_t most);
std::string warning_hands(const Warning& warning, std::size_t most);
std::string warning_look(const Warning& warning, std::size_t most);
std::string reach_text(const SetUp& set_up);   // what can and cannot be judged with this rig
std::string cautions_text();
// One line's worth of a text that somebody else typed: no line breaks or control characters, filled to the width, or cut to it
// with a sign that it was.
std::string cell(const std::string& text, std::size_t width);
std::string wrapped(const std::string& text, std::size_t width, const std::string& indent);

}  // namespace halfturn::command
