// The store as files: made private to the user, moved together with SQLite's companions, synced with their folder.
#pragma once

#include <cstdint>
#include <string>

namespace halfturn::record {

void make_folder_for(const std::string& path);  // and its parents, 0700; Failure when that can't be
void make_file(const std::string& path);        // empty, 0600, unless it is there; its name made durable
void need_file(const std::string& path);        // BadInput with advice when there is no such file
void sync_file(const std::string& path);        // contents and name are on the disk after this
void remove_file(const std::string& path);      // and SQLite's companions; no word when there is none
std::int64_t file_size(const std::string& path);  // -1 when there is none
// Both in one file system. BadInput when `to` exists by now; the name is durable after this.
void rename_to_new(const std::string& from, const std::string& to);
bool can_write_folder_of(const std::string& path);

// Renames FILE, FILE-wal, FILE-shm and FILE-journal; `to` gets a number when it exists. Returns the new name of FILE.
std::string rename_with_companions(const std::string& path, const std::string& to);

}  // namespace halfturn::record
