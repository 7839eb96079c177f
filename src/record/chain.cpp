#include "record/chain.hpp"

#include "core/little_endian.hpp"

namespace halfturn::record {
namespace {

std::string bytes_of(const Hash& hash) { return {reinterpret_cast<const char*>(hash.data()), hash.size()}; }

void append_sized(std::string& out, std::string_view bytes) {
    append_little_endian(out, static_cast<std::uint64_t>(bytes.size()));
    out += bytes;
}

void append_i64(std::string& out, std::int64_t value) { append_little_endian(out, static_cast<std::uint64_t>(value)); }

}  // namespace

std::string block_hash(std::string_view previous, const BlockHead& head, std::string_view events) {
    std::string bytes = "halfturn block 1\n";
    bytes += previous;
    for (const std::int64_t value : {head.number, head.first_seq, head.last_seq, head.first_ns, head.last_ns})
        append_i64(bytes, value);
    return bytes_of(sha256(bytes, events));
}

const std::vector<ChainedKind>& chained_kinds() {
    static const std::vector<ChainedKind> kinds = {
        {"store", "store", "id", "bench_id, created_utc_ms"},
        {"job-started", "jobs", "number",
         "number, job_id, started_utc_ms, clock_synchronised, origin, program, work, item, seat, set_name, who, "
         "designation, rig, practice"},
        {"set-up", "set_ups", "job", "job, json"},
        {"job-ended", "jobs", "number", "number, state, ended_utc_ms, ending, blocks, events, last_hash"},
        {"judgement", "judgements", "id", "id, job, made_utc_ms, judge, call, fingerprint, json"},
        {"entry", "entries", "id", "id, job, made_utc_ms, kind, who, item, seat, json"},
        {"certificate", "certificates", "id", "id, certificate_id, made_utc_ms, json"},
        {"photo", "photos", "id", "id, made_utc_ms, media_type, sha256, bytes"},
    };
    return kinds;
}

const ChainedKind* find_kind(std::string_view kind) {
    for (const ChainedKind& known : chained_kinds())
        if (known.kind == kind) return &known;
    return nullptr;
}

std::optional<std::string> row_hash(Database& db, const ChainedKind& kind, std::int64_t row) {
    Statement find(db, "SELECT " + std::string(kind.columns) + " FROM " + std::string(kind.table) + " WHERE " +
                           std::string(kind.key) + " = ?");
    find.bind(1, row);
    if (!find.row()) return {};
    std::string bytes = "halfturn row 1\n" + std::string(kind.table) + "\n";
    for (int i = 0; i < find.columns(); ++i) {
        const char type = find.kind(i);
        bytes += type;
        if (type == 'i') append_i64(bytes, find.integer(i));
        else if (type == 't') append_sized(bytes, find.text(i));
        else if (type == 'b') append_sized(bytes, find.blob(i));
    }
    return bytes_of(sha256(bytes));
}

std::string link_hash(std::string_view before, const Link& link) {
    std::string bytes = "halfturn chain 1\n";
    bytes += before;
    append_i64(bytes, link.number);
    append_i64(bytes, link.at_utc_ms);
    append_sized(bytes, link.kind);
    append_i64(bytes, link.row);
    bytes += link.content;
    return bytes_of(sha256(bytes));
}

std::string append_link(Database& db, std::string_view kind, std::int64_t row, std::int64_t at_utc_ms) {
    const ChainedKind* known = find_kind(kind);
    const auto content = known ? row_hash(db, *known, row) : std::nullopt;
    if (!content) throw Failure("the record has no row to chain for '" + std::string(kind) + "'");
    Link link{1, at_utc_ms, std::string(kind), row, *content, {}};
    std::string before(hash_bytes, '\0');
    {
        Statement last(db, "SELECT number, link FROM chain ORDER BY number DESC LIMIT 1");
        if (last.row()) {
            link.number = last.integer(0) + 1;
            before = last.blob(1);
        }
    }
    link.link = link_hash(before, link);
    Statement add(db, "INSERT INTO chain (number, at_utc_ms, kind, row, content, link) VALUES (?, ?, ?, ?, ?, ?)");
    add.bind(1, link.number).bind(2, link.at_utc_ms).bind(3, std::string_view(link.kind)).bind(4, link.row);
    add.bind_blob(5, link.content).bind_blob(6, link.link).run();
    return *content;
}

std::string head_of(Database& db) {
    Statement last(db, "SELECT link FROM chain ORDER BY number DESC LIMIT 1");
    return last.row() ? to_hex(last.blob(0)) : std::string();
}

}  // namespace halfturn::record
