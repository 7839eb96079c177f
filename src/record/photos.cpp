// Photos are kept in the store by their hash, each once.
#include "core/sha256.hpp"
#include "record/chain.hpp"
#include "record/store.hpp"
#include "record/wall_clock.hpp"

namespace halfturn::record {
namespace {

// By the first bytes, never by what a file is called.
std::string_view media_type_of(std::string_view bytes) {
    using namespace std::string_view_literals;
    if (bytes.starts_with("\xFF\xD8\xFF"sv)) return "image/jpeg";
    if (bytes.starts_with("\x89PNG\r\n\x1A\n"sv)) return "image/png";
    if (bytes.starts_with("RIFF"sv) && bytes.size() >= 12 && bytes.substr(8, 4) == "WEBP"sv) return "image/webp";
    throw BadInput("a photo must be a JPEG, PNG or WebP file, which this is not");
}

}  // namespace

std::string Store::add_photo(std::string_view bytes) {
    constexpr std::size_t most_photo_bytes = std::size_t{8} << 20;
    need_write("add a photo");
    if (bytes.size() > most_photo_bytes)
        throw BadInput("the photo has " + std::to_string(bytes.size()) + " bytes, and at most " + std::to_string(most_photo_bytes) +
                       " (8 MiB) are kept: save it smaller");
    const std::string_view media_type = media_type_of(bytes);
    const Hash digest = sha256(bytes);
    const std::string_view hash(reinterpret_cast<const char*>(digest.data()), digest.size());
    const std::int64_t now = now_utc_ms();
    Transaction transaction(db_);
    {
        Statement find(db_, "SELECT 1 FROM photos WHERE sha256 = ?");
        find.bind_blob(1, hash);
        if (find.row()) return to_hex(hash);
    }
    Statement add(db_, "INSERT INTO photos (made_utc_ms, media_type, sha256, bytes) VALUES (?, ?, ?, ?)");
    add.bind(1, now).bind(2, media_type).bind_blob(3, hash).bind_blob(4, bytes).run();
    append_link(db_, "photo", db_.number("SELECT last_insert_rowid()"), now);
    transaction.commit();
    return to_hex(hash);
}

}  // namespace halfturn::record
