#include "report/job_report.hpp"

#include <algorithm>
#include <map>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "record/wall_clock.hpp"
#include "report/blocks.hpp"
#include "report/figures.hpp"
#include "report/set_up_blocks.hpp"
#include "review/finding_words.hpp"
#include "watch/rule.hpp"

namespace halfturn::report {
namespace {

using namespace sheet;

std::string time_words(std::int64_t utc_ms) { return record::utc_text(utc_ms).substr(0, 16) + " UTC"; }

std::string capital(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

// A call as it is stored, in words.
std::string call_of(const std::string& id) {
    for (const Call call : {Call::nothing_unusual, Call::look_closer, Call::cant_tell, Call::stop_and_inspect})
        if (id == call_id(call)) return std::string(call_words(call));
    return id;
}

std::string title_of(const record::JobRow& job) { return "Job " + std::to_string(job.number); }

std::string subtitle_of(const JobFacts& facts) {
    std::string line;
    const auto add = [&](const std::string& what, const std::string& value) {
        if (!value.empty()) line += (line.empty() ? "" : " · ") + what + value;
    };
    add("", facts.job.item);
    add("seat ", facts.job.seat);
    add("", work_words(facts.judged.set_up));
    add("bearing ", facts.job.designation);
    add("", time_words(facts.job.started_utc_ms));
    return line;
}

void put_call(std::vector<Block>& blocks, const JobFacts& facts) {
    const Judgement& now = facts.judged.now;
    std::string text = capital(std::string(call_words(now.call))) + ".";
    for (const auto& reason : now.reasons) {
        // A warning stands there by its id.
        const auto warned = std::find_if(now.warnings.begin(), now.warnings.end(),
                                         [&](const Warning& warning) { return warning.rule == reason; });
        const std::string words = warned != now.warnings.end() ? warned->says : capital(reason);
        text += "\n" + words + (words.ends_with('.') ? "" : ".");
    }
    put_text(blocks, text, Paragraph::Kind::boxed);
    for (const auto& row : facts.judged.before)
        if (row.judged.judge != now.judge)
            put_text(blocks,
                     "Judge " + row.judged.judge + " called it: " + call_of(row.judged.call) + " (" +
                         time_words(row.made_utc_ms) + ").",
                     Paragraph::Kind::small);
    if (facts.judged.agreement == record::Agreement::differs)
        put_text(blocks,
                 "The stored judgement has another fingerprint than its events give now: halfturn verify and halfturn rejudge "
                 "say more.",
                 Paragraph::Kind::strong);
    if (facts.job.practice) put_text(blocks, "Recorded on the practice rig: nothing was pulled.", Paragraph::Kind::strong);
}

void put_numbers(std::vector<Block>& blocks, const JobFacts& facts) {
    const Judgement& now = facts.judged.now;
    const SetUp& set_up = facts.judged.set_up;
    Facts table;
    table.add(
        "ring at the end",
        std::string(phase_words(now.phase)) +
            (now.ended_by_hand ? ", ended before the ring was " + std::string(set_up.work == Work::out ? "clear" : "home") : ""));
    if (now.contact_turns) table.add("contact", "at " + turns_words(*now.contact_turns));
    if (now.break_loose)
        table.add("break-loose", newtons(now.break_loose->force_N) + " (at most " + newtons(now.break_loose->force_bound_N) +
                                     " between two readings), " + turns_words(now.break_loose->turns_from_contact) +
                                     " after contact");
    else if (set_up.work == Work::out) table.add("break-loose", "not seen");
    table.add("highest force", newtons(now.peak_N));
    table.add("expected", set_up.break_loose_N.high > 0
                              ? newtons(set_up.break_loose_N.low) + " to " + newtons(set_up.break_loose_N.high) +
                                    ", most likely " + newtons(set_up.break_loose_N.mid)
                              : "not known");
    table.put(blocks);
}

// What to look at, one thing a line.
std::string lines_of(const std::vector<std::string_view>& things) {
    std::string lines;
    for (const auto thing : things) lines += (lines.empty() ? "– " : "\n– ") + std::string(thing);
    return lines;
}

void put_warnings(std::vector<Block>& blocks, const JobFacts& facts) {
    if (facts.judged.now.warnings.empty()) return;
    put_heading(blocks, "Warnings");
    Table table{{{"", Align::left, 0.05},
                 {"what was seen", Align::left, 0.45},
                 {"when", Align::left, 0.2},
                 {"look at", Align::left, 0.3}},
                {}};
    std::size_t number = 0;
    for (const Warning& warning : facts.judged.now.warnings) {
        table.rows.push_back(
            {std::to_string(++number), warning.says + " (" + std::string(call_words(warning.call)) + ")",
             fixed_text(seconds(warning.at), 1) + " s, " + turns_words(warning.turns) + ", " + newtons(warning.force_N),
             lines_of(warning.inspect)});
    }
    blocks.push_back({std::move(table)});
}

void put_seat(std::vector<Block>& blocks, const JobFacts& facts, double width_mm) {
    const review::SeatReview& seat = facts.seat;
    put_heading(blocks, "What the curve says about the seat");
    if (const auto figure = profile_figure(seat.profile, width_mm)) blocks.push_back({Figure{*figure, ""}});
    Facts table;
    if (seat.profile.known) {
        table.add("shape", seat.profile.says);
        if (seat.profile.drawable())
            table.add("resolution", "details of " + fixed_text(seat.profile.resolved_mm, 1) + " mm; the instruments could show " +
                                        fixed_text(seat.profile.instruments_mm, 2) + " mm at best, by " + seat.profile.instruments_because);
        if (seat.profile.ripple.known)
            table.add("once per turn", "± " + fixed_text(100 * seat.profile.ripple.share, 1) + " % of the force (standard uncertainty " +
                                           fixed_text(100 * seat.profile.ripple.u_share, 1) + " %)");
        if (seat.difference.known) table.add("pressed in and pulled out", seat.difference.says + " (" + seat.compared_with + ")");
    } else table.add("profile", "can't be read: " + seat.profile.why_not);
    table.add("fit read backwards", seat.fit.known ? seat.fit.says : "can't be read: " + seat.fit.why_not);
    if (seat.fit.known) {
        table.add("interference, diametral", band_words(seat.fit.interference_um, 3, "µm") + "; before the job " +
                                                 band_words(seat.fit.interference_before_um, 3, "µm"));
        table.add("friction", figures_text(seat.fit.friction.low, 2) + " to " + figures_text(seat.fit.friction.high, 2));
    }
    if (seat.fit.over_sliding)
        table.add("release over sliding", fixed_text(*seat.fit.over_sliding, 2) + " ± " + fixed_text(1.96 * *seat.fit.over_sliding_u, 2) +
                                              "; clean seats show 1.1 to 1.5");
    table.add("this seat", seat.history.says);
    table.put(blocks);
}

void put_findings(std::vector<Block>& blocks, const review::Findings& findings) {
    put_heading(blocks, "Findings");
    Table table{{{"finding", Align::left, 0.2},
                 {"evidence", Align::left, 0.32},
                 {"look at", Align::left, 0.24},
                 {"how sure", Align::left, 0.24}},
                {}};
    for (const review::Found& found : findings.found) {
        const bool unusual = found.info.id != review::nothing_unusual_id;
        table.rows.push_back(
            {std::string(found.info.title) + (unusual ? " (" + std::string(review::strength_name(found.strength)) + ")" : ""),
             found.answer.says, lines_of(found.info.look_at), review::rates_words(found.rates)});
    }
    if (table.rows.empty()) put_text(blocks, "None.");
    else blocks.push_back({std::move(table)});
    std::vector<std::string> open;
    for (const review::Found& found : findings.open)
        open.push_back("Left open (" + std::string(found.info.title) + "): " + found.answer.says);
    put_list(blocks, open);
    put_text(blocks,
             "Rates are those of simulated jobs on a practice rig, with faults that are plainly there; nobody has measured them "
             "on metal.",
             Paragraph::Kind::small);
}

void put_entries(std::vector<Block>& blocks, const JobFacts& facts) {
    put_heading(blocks, "Inspections, notes, sign-offs");
    if (facts.entries.empty()) put_text(blocks, "None on this job.");
    Table table{{{"when", Align::left, 0.2}, {"what", Align::left, 0.14}, {"by", Align::left, 0.18}, {"", Align::left, 0.48}}, {}};
    for (const auto& [entry, photo] : facts.entries)
        table.rows.push_back({time_words(entry.row.made_utc_ms), entry.row.kind + (entry.taken_back ? " (taken back)" : ""), entry.row.who,
                              entry.words + (photo ? "\nphoto below, entry " + std::to_string(entry.row.id) : "")});
    if (!table.rows.empty()) blocks.push_back({std::move(table)});
    for (const auto& [entry, photo] : facts.entries)
        if (photo)
            blocks.push_back({Photo{
                photo->media_type, photo->bytes,
                "Entry " + std::to_string(entry.row.id) + ", by " + entry.row.who + ", " + time_words(entry.row.made_utc_ms)}});
    if (facts.seat_jobs.size() < 2) return;
    put_heading(blocks, "All jobs on this seat");
    Table jobs{{{"job", Align::left, 0.1},
                {"when", Align::left, 0.25},
                {"work", Align::left, 0.1},
                {"call", Align::left, 0.25},
                {"break-loose, N", Align::right, 0.3}},
               {}};
    for (const review::SeatJob& one : facts.seat_jobs)
        jobs.rows.push_back({std::to_string(one.job.number) + (one.job.number == facts.job.number ? " (this)" : ""),
                             time_words(one.job.started_utc_ms), std::string(work_name(one.job.work)), call_of(one.job.call),
                             one.figures.break_loose_N ? fixed_text(*one.figures.break_loose_N, 0) : "–"});
    blocks.push_back({std::move(jobs)});
}

void put_record(std::vector<Block>& blocks, const JobFacts& facts) {
    const record::JobRow& job = facts.job;
    Facts table;
    table.add("by", job.who).add("item", job.item).add("seat", job.seat).add("set", job.set);
    table.add("began", time_words(job.started_utc_ms) + (!job.clock_synchronised   ? "; not known whether the clock was set"
                                                         : *job.clock_synchronised ? ""
                                                                                   : "; the clock was not set by a time server"));
    table.add("record", std::string(record::state_name(job.state)) + ", " + fixed_text(job.length_s, 1) + " s, " +
                            std::to_string(job.events) + " events" + (job.origin == record::Origin::log ? ", from a log" : ""));
    table.add("ending", job.ending);
    table.put(blocks);
}

Facts proof(const JobFacts& facts) {
    Facts table;
    table.add("job", facts.job.job_id);
    table.add("hash of its events", facts.hashes.events);
    table.add("its end in the chain", facts.hashes.end_link);
    table.add("fingerprint of the judgement", facts.judged.now.fingerprint + " (judge " + facts.judged.now.judge + ", " +
                                                  std::string(record::agreement_name(facts.judged.agreement)) + ")");
    table.add("recorded by", "halfturn " + facts.job.program);
    return table;
}

std::vector<std::string> summary_row(const JobFacts& facts) {
    const Judgement& now = facts.judged.now;
    std::string signed_by;
    for (const auto& [entry, photo] : facts.entries)
        if (entry.stands_as("sign-off")) signed_by += (signed_by.empty() ? "" : ", ") + entry.row.who;
    std::string findings;
    for (const review::Found& found : facts.seat.findings.found)
        if (found.info.id != review::nothing_unusual_id) findings += (findings.empty() ? "" : ", ") + std::string(found.info.title);
    return {std::to_string(facts.job.number),
            record::utc_text(facts.job.started_utc_ms).substr(0, 16),
            facts.job.item + (facts.job.seat.empty() ? "" : ", " + facts.job.seat),
            std::string(work_name(facts.job.work)),
            std::string(call_words(now.call)),
            now.break_loose ? fixed_text(now.break_loose->force_N, 0) : "–",
            fixed_text(now.peak_N, 0),
            findings.empty() ? "–" : findings,
            signed_by.empty() ? "–" : signed_by};
}

}  // namespace

void JobsReport::add(const JobFacts& facts) {
    Part part{title_of(facts.job), subtitle_of(facts), {}, summary_row(facts)};
    const double width_mm = text_width_mm(paper_);
    put_call(part.blocks, facts);
    put_record(part.blocks, facts);
    put_heading(part.blocks, "The curve");
    if (const auto figure = curve_figure(facts, width_mm)) part.blocks.push_back({Figure{*figure, ""}});
    else put_text(part.blocks, "No curve: there are no force readings.");
    put_numbers(part.blocks, facts);
    put_warnings(part.blocks, facts);
    put_seat(part.blocks, facts, width_mm);
    put_findings(part.blocks, facts.seat.findings);
    put_instruments(part.blocks, facts);
    put_set_up(part.blocks, facts);
    put_entries(part.blocks, facts);
    put_check(part.blocks, proof(facts), facts.head,
              "Its end in the chain covers the job and all that was in the store before it: halfturn verify --head takes it, "
              "too. halfturn rejudge " +
                  std::to_string(facts.job.number) +
                  " works the call out anew from the stored bytes; the fingerprint must come out the same.");
    parts_.push_back(std::move(part));
}

void JobsReport::leave_out(const record::JobRow& job, const std::string& why) {
    left_out_.push_back(title_of(job) + " is left out: " + why);
}

Document JobsReport::document() const {
    Document document;
    document.paper = paper_;
    if (parts_.size() == 1 && set_.empty()) {
        document.title = parts_[0].title;
        document.subtitle = parts_[0].subtitle;
        document.foot = parts_[0].title + " · " + parts_[0].subtitle;
        document.blocks = parts_[0].blocks;
        put_list(document.blocks, left_out_);
        return document;
    }
    document.title = set_.empty() ? std::to_string(parts_.size()) + " jobs" : "Set " + set_;
    document.foot = document.title;
    if (!parts_.empty())
        document.subtitle =
            std::to_string(parts_.size()) + " jobs, " + parts_.front().row[1] + " to " + parts_.back().row[1] + " UTC";
    std::map<std::string, int> calls;
    for (const Part& part : parts_) ++calls[part.row[4]];
    std::string counts;
    for (const Call call : {Call::stop_and_inspect, Call::cant_tell, Call::look_closer, Call::nothing_unusual})
        if (const auto found = calls.find(std::string(call_words(call))); found != calls.end())
            counts += (counts.empty() ? "" : "\n") + found->first + ": " + std::to_string(found->second);
    put_text(document.blocks, counts, Paragraph::Kind::boxed);
    put_list(document.blocks, left_out_);
    Table table{{{"job", Align::left, 0.5},
                 {"began, UTC", Align::left, 1.3},
                 {"item, seat", Align::left, 1.5},
                 {"work", Align::left, 0.5},
                 {"call", Align::left, 1.2},
                 {"break-loose, N", Align::right, 0.9},
                 {"peak, N", Align::right, 0.7},
                 {"findings", Align::left, 1.4},
                 {"signed off by", Align::left, 1}},
                {}};
    for (const Part& part : parts_) table.rows.push_back(part.row);
    document.blocks.push_back({std::move(table)});
    for (const Part& part : parts_) {
        document.blocks.push_back({PageBreak{}});
        document.blocks.push_back({Heading{part.title + (part.subtitle.empty() ? "" : " · " + part.subtitle), true}});
        document.blocks.insert(document.blocks.end(), part.blocks.begin(), part.blocks.end());
    }
    return document;
}

}  // namespace halfturn::report
