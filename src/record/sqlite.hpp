// SQLite behind a thin wall: errors as exceptions, statements that are always reset, no other room sees sqlite3.h.
//   Statement find(db, "SELECT json FROM set_ups WHERE job = ?");
//   find.bind(1, job);
//   if (find.row()) use(find.text(0));
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "core/failure.hpp"

struct sqlite3;
struct sqlite3_stmt;

namespace halfturn::record {

// What SQLite refused, with its (extended) result code.
class SqlError : public Failure {
public:
    SqlError(int code, const std::string& text) : Failure(text), code_(code) {}
    int code() const { return code_; }
    bool damaged() const;     // "not a database" or "malformed": the only reasons to move a file aside
    bool disk_full() const;
    bool busy() const;        // another program holds the store
    bool refused() const;     // a trigger or constraint said no
private:
    int code_;
};

// add_to: as write, but for adding to what is there: a missing store is not made, and a damaged one is left where it is.
enum class Mode : std::uint8_t { read, write, add_to };

class Database {
public:
    Database() = default;
    // Opens an existing file. Throws SqlError. `immutable`: on a medium that nobody can write to.
    Database(const std::string& path, Mode mode, bool immutable = false);
    static Database in_memory();

    void execute(const std::string& sql);  // statements without results
    std::int64_t number(const std::string& sql);  // the first column of the only row; 0 when there is none
    bool read_only() const;
    bool moved() const;  // the file is no longer where it was opened
    void copy_to(Database& target);  // the backup API
    sqlite3* handle() const { return db_.get(); }
    [[noreturn]] void fail() const;  // throws the SqlError of what just went wrong, naming the file

private:
    struct Close { void operator()(sqlite3* db) const; };
    std::unique_ptr<sqlite3, Close> db_;
    std::string name_ = "in memory";
};

class Statement {
public:
    Statement(Database& db, std::string_view sql);
    ~Statement();
    Statement(Statement&& other) noexcept;
    Statement(const Statement&) = delete;
    Statement& operator=(const Statement&) = delete;

    Statement& bind(int index, std::int64_t value);
    Statement& bind(int index, std::string_view text);  // the text must live until the statement has run
    Statement& bind_real(int index, double value);  // not a number becomes NULL
    Statement& bind_blob(int index, std::string_view bytes);
    Statement& bind_null(int index);
    Statement& bind(int index, std::optional<std::int64_t> value) { return value ? bind(index, *value) : bind_null(index); }

    bool row();  // the next row; after the last one the statement is reset
    void run();  // to its end, then reset
    void reset();

    int columns() const;
    char kind(int column) const;  // 'i', 'r', 't', 'b' or 'n' as stored
    std::int64_t integer(int column) const;
    double real(int column) const;
    std::optional<std::int64_t> integer_if(int column) const;
    // Valid until the next row() or run().
    std::string_view text(int column) const;
    std::string_view blob(int column) const;
    std::string copy(int column) const { return std::string(text(column)); }

private:
    Database* db_;
    sqlite3_stmt* statement_ = nullptr;
};

// BEGIN IMMEDIATE now; rolled back unless commit() was called.
class Transaction {
public:
    explicit Transaction(Database& db);
    ~Transaction();
    Transaction(const Transaction&) = delete;
    Transaction& operator=(const Transaction&) = delete;
    void commit();

private:
    Database& db_;
    bool open_ = true;
};

// What is read while this lives is the store of one moment, whoever writes to it meanwhile. For short questions: the
// store's log can't be emptied before it ends.
class OneMoment {
public:
    explicit OneMoment(Database& db);
    ~OneMoment();
    OneMoment(const OneMoment&) = delete;
    OneMoment& operator=(const OneMoment&) = delete;

private:
    Database& db_;
};

}  // namespace halfturn::record
