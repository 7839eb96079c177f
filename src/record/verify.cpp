#include "record/verify.hpp"

#include <map>
#include <set>
#include <tuple>

#include "core/event.hpp"
#include "record/chain.hpp"
#include "record/reader.hpp"
#include "record/sample_store.hpp"
#include "record/schema.hpp"

namespace halfturn::record {
namespace {

class Check {
public:
    Check(Store& store, Verification& result) : store_(store), db_(store.database()), result_(result) {}

    // A part of a damaged file that can't be read is a finding; the other parts are still looked at.
    template <class Part>
    void part(const char* table, Part look) {
        try {
            look();
        } catch (const std::exception& error) {
            find(table, 0, {}, std::string("can't be read to its end: ") + error.what());
        }
    }

    void file() {
        Statement check(db_, "PRAGMA integrity_check(20)");
        while (check.row())
            if (check.text(0) != "ok") find("file", 0, {}, "SQLite finds: " + check.copy(0));
        Statement keys(db_, "PRAGMA foreign_key_check");
        while (keys.row())
            find(keys.copy(0), keys.integer(1), {}, "belongs to a row of " + keys.copy(2) + " that is not there");
    }

    void schema() {
        const auto version = db_.number("PRAGMA user_version");
        const auto known = static_cast<std::int64_t>(schemas().size());
        if (version > known) return;  // a newer program's layout can't be compared
        Database fresh = Database::in_memory();
        upgrade(fresh, {schemas().begin(), schemas().begin() + version});
        const auto objects = [](Database& db) {
            std::map<std::tuple<std::string, std::string>, std::string> found;
            Statement list(db, "SELECT type, name, sql FROM sqlite_schema WHERE name NOT LIKE 'sqlite\\_%' ESCAPE '\\'");
            while (list.row()) found[{list.copy(0), list.copy(1)}] = list.copy(2);
            return found;
        };
        const auto wanted = objects(fresh), there = objects(db_);
        for (const auto& [name, text] : wanted) {
            const auto same = there.find(name);
            const std::string what = std::get<0>(name) + " " + std::get<1>(name);
            if (same == there.end()) find("schema", 0, {}, "the " + what + " is missing");
            else if (same->second != text) find("schema", 0, {}, "the " + what + " was altered");
        }
        for (const auto& [name, text] : there)
            if (wanted.find(name) == wanted.end())
                find("schema", 0, {}, "the " + std::get<0>(name) + " " + std::get<1>(name) + " was added by some other means");
    }

    void chain(const std::string& kept_head) {
        Statement list(db_, "SELECT number, at_utc_ms, kind, row, content, link FROM chain ORDER BY number");
        std::string before(hash_bytes, '\0'), instead;  // the link before as stored, and as it should have been
        std::int64_t last = 0;
        while (list.row()) {
            const Link link{list.integer(0), list.integer(1), list.copy(2), list.integer(3), std::string(list.blob(4)),
                            std::string(list.blob(5))};
            const bool gap = link.number != last + 1;
            if (gap) find("chain", last + 1, {}, missing("link", last + 1, link.number - 1));
            check_link(link, gap, before, instead);
            before = link.link;
            if (link.number == 1 && link.kind != "store") find("chain", 1, {}, "is not the store's own beginning");
            if (!kept_head.empty() && kept_head == to_hex(link.link)) result_.kept_head_at = link.number;
            last = link.number;
            ++result_.links;
        }
        result_.head = to_hex(before);
        if (result_.links == 0) find("chain", 0, {}, "is empty");
    }

    void rows_without_link() {
        for (const ChainedKind& kind : chained_kinds()) {
            // A store that is only read may have an older schema; a table that ought to be there is told by schema().
            if (!has_table(kind.table)) continue;
            const std::string key(kind.key);
            Statement list(db_, "SELECT " + key + " FROM " + std::string(kind.table) + " WHERE " + key +
                                    " NOT IN (SELECT row FROM chain WHERE kind = ?)" +
                                    (kind.kind == "job-ended" ? " AND state <> 'running'" : ""));
            list.bind(1, kind.kind);
            while (list.row()) {
                // A link whose kind or row was altered no longer points here; the link is named, not this row.
                if (const auto hash = row_hash(db_, kind, list.integer(0)); hash && altered_contents_.count(*hash) != 0) continue;
                find(std::string(kind.table), list.integer(0), {},
                     kind.kind == "job-ended" ? "was ended by some other means: the chain has no link for its end"
                                              : "was added by some other means, or its link was taken out: no link of the chain covers it");
            }
        }
    }

    void jobs() {
        struct Row {
            std::int64_t number, blocks, events;
            bool over;
            std::string last_hash, start;
        };
        std::vector<Row> rows;
        {
            Statement list(db_,
                           "SELECT number, blocks, events, state <> 'running', last_hash, (SELECT content FROM chain WHERE "
                           "kind = 'job-started' AND row = jobs.number) FROM jobs ORDER BY number");
            while (list.row())
                rows.push_back({list.integer(0), list.integer(1), list.integer(2), list.integer(3) != 0,
                                std::string(list.blob(4)), std::string(list.blob(5))});
        }
        for (const Row& row : rows) {
            ++result_.jobs;
            part("event_blocks", [&] { blocks(row.number, row.start, row.over, row.blocks, row.events, row.last_hash); });
        }
    }

    // No hash covers the compact samples, but exports and curves are made of them: so they are made anew and compared.
    void samples() {
        if (db_.number("PRAGMA user_version") > static_cast<std::int64_t>(schemas().size()) || !has_table("sample_sets")) return;
        for (const JobRow& job : list_jobs(store_)) {
            if (named(job.number)) continue;  // its events or its set-up are not what was recorded
            const std::string again = "; `halfturn rejudge " + std::to_string(job.number) + " --samples` makes them anew";
            try {
                if (const std::string table = samples_differ(store_, job); !table.empty())
                    find("sample_sets", job.number, job.number,
                         "its compact samples are not those its events give (" + table + ")" + again);
            } catch (const BadInput&) {  // a format of another program: nothing to compare with
            } catch (const std::exception& error) {
                find("sample_sets", job.number, job.number, std::string("its compact samples can't be compared: ") + error.what());
            }
        }
    }

private:
    bool named(std::int64_t job) const {
        for (const Finding& finding : result_.findings)
            if (finding.job == job || (finding.table == "jobs" && finding.row == job)) return true;
        return false;
    }

    bool has_table(std::string_view name) {
        Statement look(db_, "SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = ?");
        look.bind(1, name);
        return look.row();
    }

    void find(std::string table, std::int64_t row, std::optional<std::int64_t> job, std::string says) {
        // A row may have two links, as a job has for its start and its end.
        for (const Finding& found : result_.findings)
            if (found.table == table && found.row == row && found.job == job && found.says == says) return;
        result_.findings.push_back({std::move(table), row, job, std::move(says)});
    }

    static std::string missing(const char* what, std::int64_t from, std::int64_t to) {
        if (from >= to) return std::string(what) + " " + std::to_string(from) + " is missing";
        return std::string(what) + "s " + std::to_string(from) + " to " + std::to_string(to) + " are missing";
    }

    static std::optional<std::int64_t> job_of(const Link& link) {
        if (link.kind == "job-started" || link.kind == "job-ended" || link.kind == "set-up") return link.row;
        return {};
    }

    std::optional<std::int64_t> job_of_row(const ChainedKind& kind, const Link& link) {
        if (kind.table != "judgements" && kind.table != "entries") return job_of(link);
        Statement job(db_, "SELECT job FROM " + std::string(kind.table) + " WHERE id = ?");
        job.bind(1, link.row);
        return job.row() ? job.integer_if(0) : std::nullopt;
    }

    // Tells an altered link from an altered row: the one whose repair makes the hash fit is the one that was altered.
    void check_link(const Link& link, bool after_gap, const std::string& before, std::string& instead) {
        const ChainedKind* kind = find_kind(link.kind);
        const auto actual = kind ? row_hash(db_, *kind, link.row) : std::nullopt;
        const auto fits = [&](const Link& tried) {
            return link_hash(before, tried) == link.link || (!instead.empty() && link_hash(instead, tried) == link.link);
        };
        if (!after_gap && !fits(link)) {
            Link repaired = link;
            if (actual) repaired.content = *actual;
            const bool only_content = actual && fits(repaired);
            altered_contents_.insert(link.content);
            find("chain", link.number, job_of(link), only_content ? "the hash it keeps of its row was altered" : "was altered");
            instead = only_content ? std::string() : link_hash(instead.empty() ? before : instead, link);
            return;
        }
        instead.clear();
        if (!kind) find("chain", link.number, {}, "is of a kind this program does not know (" + link.kind + ")");
        else if (!actual) find(std::string(kind->table), link.row, job_of(link), "is missing");
        else if (*actual != link.content)
            find(std::string(kind->table), link.row, job_of_row(*kind, link), "was altered after it was recorded");
    }

    void blocks(std::int64_t job, const std::string& start, bool over, std::int64_t block_count, std::int64_t event_count,
                const std::string& last_hash) {
        Statement list(db_,
                       "SELECT number, first_seq, last_seq, first_ns, last_ns, events, hash FROM event_blocks WHERE job = ? "
                       "ORDER BY number");
        list.bind(1, job);
        // Block 1 stands on the hash of the job's start; where the chain's copy of it was altered, the row itself still has it.
        std::string before = start, instead = row_hash(db_, *find_kind("job-started"), job).value_or(std::string());
        std::int64_t last = 0, next_seq = 1, newest_ns = 0;
        bool follows = true;  // on a block whose numbers can be believed
        while (list.row()) {
            const BlockHead head{list.integer(0), list.integer(1), list.integer(2), list.integer(3), list.integer(4)};
            const std::string hash(list.blob(6));
            const bool gap = head.number != last + 1;
            if (gap) find("event_blocks", last + 1, job, missing("block", last + 1, head.number - 1));
            const bool fits = block_hash(before, head, list.blob(5)) == hash ||
                              (!instead.empty() && block_hash(instead, head, list.blob(5)) == hash);
            if (!gap && !fits) {
                find("event_blocks", head.number, job,
                     "was altered (events " + std::to_string(head.first_seq) + " to " + std::to_string(head.last_seq) + ")");
                instead = block_hash(instead.empty() ? before : instead, head, list.blob(5));
                follows = false;
            } else {
                instead.clear();
                if (gap || !follows) next_seq = head.first_seq;
                follows = true;
                const std::string wrong = look_at_events(list.blob(5), head, next_seq, newest_ns);
                if (!wrong.empty()) find("event_blocks", head.number, job, wrong);
            }
            next_seq = head.last_seq + 1;
            before = hash;
            last = head.number;
            ++result_.blocks;
        }
        if (!over || already_found("jobs", job)) return;  // an altered row says nothing about the blocks
        if (last < block_count) find("event_blocks", last + 1, job, missing("block", last + 1, block_count));
        else if (last > block_count) find("event_blocks", block_count + 1, job, "was added after the job's end");
        else if (before != last_hash && instead != last_hash)
            find("jobs", job, job, "its last block is not the one it ended with");
        if (last == block_count && next_seq - 1 != event_count && !found_in_blocks_of(job))
            find("jobs", job, job, "does not have as many events as it ended with");
    }

    std::string look_at_events(std::string_view bytes, const BlockHead& head, std::int64_t next_seq, std::int64_t& newest_ns) {
        Event event;
        std::int64_t seq = next_seq;
        while (!bytes.empty()) {
            if (!take_event(bytes, event)) return "holds bytes that are no event after event " + std::to_string(seq - 1);
            if (static_cast<std::int64_t>(event.seq) != seq) return "event " + std::to_string(seq) + " is missing";
            if (event.at < newest_ns) return "event " + std::to_string(seq) + " lies before the one ahead of it";
            if (seq == next_seq && (head.first_seq != seq || head.first_ns != event.at)) return "does not begin as it says";
            newest_ns = event.at;
            ++seq;
            ++result_.events;
        }
        return head.last_seq == seq - 1 && head.last_ns == newest_ns ? std::string() : "does not end as it says";
    }

    bool already_found(std::string_view table, std::int64_t row) const {
        for (const Finding& finding : result_.findings)
            if (finding.table == table && finding.row == row) return true;
        return false;
    }
    bool found_in_blocks_of(std::int64_t job) const {
        for (const Finding& finding : result_.findings)
            if (finding.table == "event_blocks" && finding.job == job) return true;
        return false;
    }

    Store& store_;
    Database& db_;
    Verification& result_;
    std::set<std::string> altered_contents_;  // of links found altered
};

}  // namespace

Verification verify(Store& store, const std::string& kept_head) {
    std::string wanted = kept_head.rfind("sha256:", 0) == 0 ? kept_head.substr(7) : kept_head;
    for (char& c : wanted)
        if (c >= 'A' && c <= 'F') c = static_cast<char>(c - 'A' + 'a');
    std::string bytes;
    if (!wanted.empty() && (!from_hex(wanted, bytes) || bytes.size() != hash_bytes))
        throw BadInput("--head takes the 64 hex digits printed on a report or certificate, not \"" + kept_head + "\"");
    Verification result;
    Check check(store, result);
    // One moment for all parts, also while somebody records.
    check.part("file", [&] { store.database().execute("BEGIN"); });
    check.part("file", [&] { check.file(); });
    check.part("schema", [&] { check.schema(); });
    check.part("chain", [&] { check.chain(wanted); });
    check.part("chain", [&] { check.rows_without_link(); });
    check.part("jobs", [&] { check.jobs(); });
    check.part("sample_sets", [&] { check.samples(); });
    check.part("file", [&] { store.database().execute("COMMIT"); });
    if (!wanted.empty() && !result.kept_head_at)
        result.findings.push_back({"chain", 0, {}, "this head is not in this store's chain: " + wanted +
                                                   "; the store was rebuilt, cut short, or is another one"});
    return result;
}

}  // namespace halfturn::record
