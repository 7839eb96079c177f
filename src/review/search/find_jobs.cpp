// JobIndex::find and values: a query as SQL. Every text goes in as a bound value, never as part of the statement.
#include <algorithm>
#include <functional>

#include "core/failure.hpp"
#include "review/search/job_index.hpp"
#include "record/job_rows.hpp"
#include "review/search/look.hpp"
#include "review/search/words.hpp"

namespace halfturn::review {
namespace {

using record::Statement;

// The conditions of a query, and what is bound to their question marks, in order.
class Conditions {
public:
    void add(const std::string& condition) { sql_ += (sql_.empty() ? " WHERE " : " AND ") + condition; }
    void bind(std::string text) {
        binds_.push_back([text = std::move(text)](Statement& to, int at) { to.bind(at, std::string_view(text)); });
    }
    void bind(std::int64_t number) { binds_.push_back([number](Statement& to, int at) { to.bind(at, number); }); }
    const std::string& sql() const { return sql_; }
    int bind_all(Statement& to) const {
        int at = 0;
        for (const auto& one : binds_) one(to, ++at);
        return at;
    }

    // Any of these values, case aside; * stands for any letters.
    void any_of(const std::string& column, const std::vector<std::string>& values) {
        if (values.empty()) return;
        std::string any;
        for (const std::string& value : values) {
            const bool pattern = value.find('*') != std::string::npos;
            any += (any.empty() ? "" : " OR ") + column + (pattern ? " LIKE ? ESCAPE '\\'" : " = ?");
            bind(pattern ? like(value) : value);
        }
        add("(" + any + ")");
    }

    // Listed with any of these ids in another table.
    void listed_in(const std::string& table, const std::vector<std::string>& ids) {
        if (ids.empty()) return;
        std::string marks;
        for (const std::string& id : ids) {
            marks += marks.empty() ? "?" : ", ?";
            bind(id);
        }
        add("j.number IN (SELECT job FROM " + table + " WHERE id IN (" + marks + "))");
    }

private:
    static std::string like(const std::string& value) {
        std::string pattern;
        for (const char c : value) {
            if (c == '%' || c == '_' || c == '\\') pattern += '\\';
            pattern += c == '*' ? '%' : c;
        }
        return pattern;
    }

    std::string sql_;
    std::vector<std::function<void(Statement&, int)>> binds_;
};

void add_fields(Conditions& conditions, const JobQuery& query) {
    conditions.any_of("j.call", query.calls);
    conditions.any_of("j.item", query.items);
    conditions.any_of("j.seat", query.seats);
    conditions.any_of("j.set_name", query.sets);
    conditions.any_of("j.who", query.who);
    conditions.any_of("j.rig", query.rigs);
    std::vector<std::string> bearings;
    for (const std::string& name : query.bearings) bearings.push_back(one_bearing_name(name));
    conditions.any_of("j.bearing", bearings);
    conditions.listed_in("warnings", query.warnings);
    conditions.listed_in("findings", query.findings);
    const auto number = [&](const char* condition, std::optional<std::int64_t> value) {
        if (!value) return;
        conditions.add(condition);
        conditions.bind(*value);
    };
    number("j.started_utc_ms >= ?", query.since_utc_ms);
    number("j.started_utc_ms < ?", query.until_utc_ms);
    number("j.signed_off = ?", query.signed_off);
    number("j.set_aside = ?", query.set_aside);
}

std::vector<std::string> ids_of(record::Database& db, const char* sql, std::int64_t job) {
    Statement find(db, sql);
    find.bind(1, job);
    std::vector<std::string> ids;
    while (find.row()) ids.push_back(find.copy(0));
    return ids;
}

// Taken while the search stands on the row: asking for a row's passage by itself would search all over again.
constexpr const char* passage = "snippet(texts, -1, char(2), char(3), '\xE2\x80\xA6', 14)";

// What nothing narrows, SQLite counts without looking at any row.
void count_all(record::Database& db, const std::string& from_where, const Conditions& conditions, std::int64_t count_to, Hits& hits) {
    const bool whole = conditions.sql().empty();
    Statement count(db, whole ? "SELECT count(*)" + from_where : "SELECT count(*) FROM (SELECT 1" + from_where + " LIMIT ?)");
    if (!whole) count.bind(conditions.bind_all(count) + 1, count_to + 1);
    const std::int64_t seen = count.row() ? count.integer(0) : 0;
    hits.more = !whole && seen > count_to;
    hits.total = hits.more ? count_to : seen;
}

}  // namespace

std::vector<ListedJob> read_hits(record::Store& store, const Hits& hits) {
    std::vector<std::int64_t> numbers;
    for (const Hit& hit : hits.jobs) numbers.push_back(hit.number);
    std::vector<ListedJob> listed;
    std::size_t at = 0;
    for (record::JobRow& job : record::read_jobs(store, numbers)) {
        while (hits.jobs[at].number != job.number) ++at;
        listed.push_back({std::move(job), hits.jobs[at]});
    }
    return listed;
}

Hits JobIndex::find(const JobQuery& query) {
    check_query(query);
    const std::string words = match_expression(query.words);
    // Most pages are read once and in order: fetching one again costs less than fresh memory for all of them.
    db_.execute("PRAGMA cache_size = -512");
    // The full-text search gives its rows by falling number if asked so, and then stops at the page's end.
    const std::string number = words.empty() ? "j.number" : "texts.rowid";
    const std::string from = words.empty() ? " FROM jobs j" : " FROM texts CROSS JOIN jobs j ON j.number = texts.rowid";
    Conditions conditions;
    if (!words.empty()) {
        conditions.add("texts MATCH ?");
        conditions.bind(words);
    }
    const std::string words_alone = conditions.sql();
    add_fields(conditions, query);
    const Conditions all = conditions;
    if (query.before > 0) {
        conditions.add(number + " < ?");
        conditions.bind(query.before);
    }
    Hits hits;
    const auto most = query.most > 0 ? static_cast<std::int64_t>(query.most) : std::int64_t{-1};
    Statement find(db_, "SELECT j.number, j.looked_at, j.signed_off, j.set_aside, " +
                            std::string(words.empty() ? "''" : passage) + from + conditions.sql() + " ORDER BY " + number +
                            " DESC LIMIT ?");
    const int bound = conditions.bind_all(find);
    find.bind(bound + 1, most);
    while (find.row()) {
        Hit hit;
        hit.number = find.integer(0);
        hit.looked_at = find.integer(1) != 0;
        hit.signed_off = find.integer(2) != 0;
        hit.set_aside = find.integer(3) != 0;
        hit.passage = find.copy(4);
        hits.jobs.push_back(std::move(hit));
    }
    for (Hit& hit : hits.jobs) {
        hit.warnings = ids_of(db_, "SELECT id FROM warnings WHERE job = ? ORDER BY id", hit.number);
        hit.findings = ids_of(db_, "SELECT id FROM findings WHERE job = ? ORDER BY id", hit.number);
    }
    const auto found = static_cast<std::int64_t>(hits.jobs.size());
    if (query.before == 0 && (most < 0 || found < most)) {
        hits.total = found;  // the page holds them all
        return hits;
    }
    const bool words_only = !words.empty() && all.sql() == words_alone;
    count_all(db_, (words_only ? std::string(" FROM texts") : from) + all.sql(), all, query.count_to, hits);
    return hits;
}

std::vector<JobIndex::Like> JobIndex::like(record::Store& store, std::int64_t number, std::size_t most, std::int64_t& compared) {
    look_at_one(store, number);
    compared = 0;
    Statement this_one(db_, "SELECT features FROM features WHERE job = ?");
    this_one.bind(1, number);
    if (!this_one.row()) return {};
    const PullFeatures features = features_from_bytes(this_one.blob(0));
    this_one.reset();
    Statement others(
        db_,
        "SELECT j.number, f.features FROM features f JOIN jobs j ON j.number = f.job WHERE j.work = (SELECT work FROM jobs WHERE "
        "number = ?1) AND j.number <> ?1 AND j.set_aside = 0");
    others.bind(1, number);
    std::vector<Like> alike;
    while (others.row()) {
        ++compared;
        if (const auto apart = distance(features, features_from_bytes(others.blob(1)))) alike.push_back({others.integer(0), *apart});
    }
    const auto nearer = [](const Like& a, const Like& b) {
        return a.distance != b.distance ? a.distance < b.distance : a.number > b.number;
    };
    const auto end = alike.begin() + static_cast<std::ptrdiff_t>(std::min(most, alike.size()));
    std::partial_sort(alike.begin(), end, alike.end(), nearer);
    alike.erase(end, alike.end());
    return alike;
}

std::vector<std::string> JobIndex::values(std::string_view field, std::string_view begins, std::size_t most) {
    std::string column;
    for (const auto& [name, is] : {std::pair<std::string_view, const char*>{"item", "item"},
                                   {"seat", "seat"},
                                   {"set", "set_name"},
                                   {"who", "who"},
                                   {"rig", "rig"},
                                   {"bearing", "bearing"}})
        if (name == field) column = is;
    if (column.empty()) throw BadInput("a list of values is kept of item, seat, set, who, rig and bearing only");
    Statement find(db_, "SELECT " + column + " FROM jobs WHERE " + column + " <> '' AND lower(substr(" + column +
                            ", 1, length(?1))) = lower(?1) GROUP BY " + column + " ORDER BY count(*) DESC, 1 LIMIT ?2");
    find.bind(1, begins).bind(2, static_cast<std::int64_t>(most));
    std::vector<std::string> values;
    while (find.row()) values.push_back(find.copy(0));
    return values;
}

}  // namespace halfturn::review
