// The hashes of the record: of an event block, of a row, of a link in the chain. schema/001_start.sql states the layouts.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/sha256.hpp"
#include "record/sqlite.hpp"

namespace halfturn::record {

struct BlockHead {
    std::int64_t number = 0, first_seq = 0, last_seq = 0, first_ns = 0, last_ns = 0;
};
std::string block_hash(std::string_view previous, const BlockHead& head, std::string_view events);

// What the chain covers: which columns of which table, found by which key.
struct ChainedKind {
    std::string_view kind, table, key, columns;
};
const std::vector<ChainedKind>& chained_kinds();
const ChainedKind* find_kind(std::string_view kind);

// Hash of the row as it stands; nothing when there is no such row.
std::optional<std::string> row_hash(Database& db, const ChainedKind& kind, std::int64_t row);

struct Link {
    std::int64_t number = 0, at_utc_ms = 0;
    std::string kind;
    std::int64_t row = 0;
    std::string content, link;  // 32 bytes each
};
std::string link_hash(std::string_view before, const Link& link);
constexpr std::size_t hash_bytes = 32;

// Adds the link for a row just inserted; call it in the same transaction. Returns the row's hash.
std::string append_link(Database& db, std::string_view kind, std::int64_t row, std::int64_t at_utc_ms);

// The newest link as hex; empty for an empty chain.
std::string head_of(Database& db);

}  // namespace halfturn::record
