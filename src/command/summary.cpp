#include "command/summary.hpp"

#include "core/calm_text.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"
#include "watch/rule.hpp"

namespace halfturn::command {
namespace {

constexpr std::size_t width = 80;

std::string line(const std::string& label, const std::string& value) {
    return wrapped(label + std::string(label.size() < 16 ? 16 - label.size() : 1, ' ') + value, width, std::string(16, ' '));
}

}  // namespace

std::string wrapped(const std::string& text, std::size_t most, const std::string& indent) {
    std::string out;
    std::size_t column = 0, at = 0;
    while (at < text.size()) {
        std::size_t end = text.find(' ', at);
        if (end == std::string::npos) end = text.size();
        // Runs of blanks are kept: they line up the labels.
        std::size_t blanks = 0;
        while (end + blanks < text.size() && text[end + blanks] == ' ') ++blanks;
        const std::string word = text.substr(at, end - at);
        if (column > indent.size() && column + columns(word) > most) {
            while (!out.empty() && out.back() == ' ') out.pop_back();
            out += "\n" + indent;
            column = indent.size();
        }
        out += word + std::string(blanks, ' ');
        column += columns(word) + blanks;
        at = end + blanks;
    }
    while (!out.empty() && out.back() == ' ') out.pop_back();
    return out + "\n";
}

std::string call_in_words(const std::string& id) {
    for (const Call call : {Call::nothing_unusual, Call::look_closer, Call::cant_tell, Call::stop_and_inspect})
        if (id == call_id(call)) return std::string(call_words(call));
    return id;
}

std::string cell(const std::string& text, std::size_t width) {
    const std::string calm = calm_line(text);
    const std::size_t all = columns(calm);
    if (all <= width) return calm + std::string(width - all, ' ');
    std::string out;
    std::size_t used = 0;
    for (const char c : calm) {
        const bool continues = (static_cast<unsigned char>(c) & 0xC0) == 0x80;
        if (!continues && ++used >= width) break;
        out += c;
    }
    return width > 0 ? out + "…" : out;
}

std::string warning_says(const Warning& w, std::size_t most) {
    const char* const call = w.call == Call::stop_and_inspect ? "STOP  " : w.call == Call::cant_tell ? "CAN'T TELL  " : "LOOK CLOSER  ";
    return wrapped(call + w.says, most, "  ");
}

std::string warning_hands(const Warning& w, std::size_t most) { return wrapped("  Hands: " + std::string(w.hands), most, "         "); }

std::string warning_look(const Warning& w, std::size_t most) {
    std::string out = "  Look at:\n";
    for (const auto what : w.inspect) out += wrapped("   - " + std::string(what), most, "     ");
    return out;
}

std::string warning_text(const Warning& w) { return warning_says(w, width) + warning_hands(w, width) + warning_look(w, width); }

std::string summary_text(const Judgement& j, const SetUp& s) {
    std::string out = line("call", std::string(call_words(j.call)));
    out += line(
        "ring",
        std::string(phase_words(j.phase)) +
            (j.ended_by_hand ? " (ended before the ring was " + std::string(s.work == Work::out ? "clear" : "home") + ")" : ""));
    if (j.contact_turns) out += line("contact", "at " + turns_words(*j.contact_turns));
    if (j.break_loose) {
        const BreakLoose& b = *j.break_loose;
        out += line("break-loose", newtons(b.force_N) + " (at most " + newtons(b.force_bound_N) + " between two readings), " +
                                       turns_words(b.turns_from_contact) + " after contact");
    } else if (s.work == Work::out) {
        out += line("break-loose", "not seen");
    }
    out += line("highest force", newtons(j.peak_N));
    if (s.break_loose_N.high > 0)
        out += line("expected", newtons(s.break_loose_N.low) + " to " + newtons(s.break_loose_N.high) + ", most likely " +
                                    newtons(s.break_loose_N.mid));
    for (const auto& mark : s.marks) out += line("mark", mark);
    for (const Warning& w : j.warnings)
        out += "\n" + warning_text(w) + "  Seen at " + fixed_text(seconds(w.at), 1) + " s, " + turns_words(w.turns) +
               " from contact, " + newtons(w.force_N) + ". (" + std::string(w.rule) + ")\n";
    return out;
}

std::string reach_text(const SetUp& set_up) {
    const Reach reach = what_can_be_judged(set_up);
    std::string out = "With these instruments I can judge:\n";
    for (const auto& what : reach.can) out += wrapped("  + " + what, width, "    ");
    if (reach.can.empty()) out += "  nothing\n";
    if (!reach.cannot.empty()) out += "and can't judge:\n";
    for (const auto& what : reach.cannot) out += wrapped("  - " + what, width, "    ");
    return out;
}

std::string cautions_text() {
    return "Before you pull: wear eye protection. Stand beside the screw's axis, hands clear of\n"
           "the stack: a stretched press lets go with a jolt. Do not exceed the rated load of\n"
           "any part. Your shop's rules and the part maker's instructions come first; this\n"
           "tool advises and moves nothing.\n";
}

}  // namespace halfturn::command
