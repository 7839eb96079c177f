#include "record/sqlite.hpp"

#include <sqlite3.h>

#include <utility>

namespace halfturn::record {

bool SqlError::damaged() const { return (code_ & 0xFF) == SQLITE_CORRUPT || (code_ & 0xFF) == SQLITE_NOTADB; }
bool SqlError::disk_full() const { return (code_ & 0xFF) == SQLITE_FULL; }
bool SqlError::busy() const { return (code_ & 0xFF) == SQLITE_BUSY || (code_ & 0xFF) == SQLITE_LOCKED; }
bool SqlError::refused() const { return (code_ & 0xFF) == SQLITE_CONSTRAINT; }

namespace {

// Before the first database is opened, and once: these hold for all.
void configure() {
    static const int done = [] {
        // With the first page of every file and every sorting SQLite takes room for twenty, more than a short command ever reads.
        sqlite3_config(SQLITE_CONFIG_PAGECACHE, nullptr, 0, 0);
        // Nobody asks how much memory it has, and counting takes a lock for each piece.
        return sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
    }();
    static_cast<void>(done);
}

}  // namespace

void Database::Close::operator()(sqlite3* db) const { sqlite3_close_v2(db); }

void Database::fail() const {
    const int code = db_ ? sqlite3_extended_errcode(db_.get()) : SQLITE_NOMEM;
    const SqlError error(code, {});
    const std::string what = db_ ? sqlite3_errmsg(db_.get()) : "out of memory";
    throw SqlError(code, "the store " + name_ + (error.damaged() ? " is damaged: " : " refused: ") + what +
                             (error.disk_full() ? ": make room on the disk that holds it" : ""));
}

Database::Database(const std::string& path, Mode mode, bool immutable) : name_(path) {
    std::string name = path;
    int flags = SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE |
                (mode == Mode::read ? SQLITE_OPEN_READONLY : SQLITE_OPEN_READWRITE);
    if (immutable) {
        name = "file:";
        for (const char c : path) {
            if (c == '?' || c == '#' || c == '%') {
                constexpr char digits[] = "0123456789ABCDEF";
                name += '%';
                name += digits[(c >> 4) & 0xF];
                name += digits[c & 0xF];
            } else name += c;
        }
        name += "?immutable=1";
        flags |= SQLITE_OPEN_URI;
    } else if (path.rfind("file:", 0) == 0 || path.rfind(':', 0) == 0) name = "./" + path;  // never a URI or ":memory:"
    configure();
    sqlite3* db = nullptr;
    const int code = sqlite3_open_v2(name.c_str(), &db, flags, nullptr);
    db_.reset(db);
    if (code != SQLITE_OK) fail();
    sqlite3_busy_timeout(db, 5000);
}

Database Database::in_memory() {
    configure();
    Database made;
    sqlite3* db = nullptr;
    const int code = sqlite3_open_v2(":memory:", &db,
                                     SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_MEMORY | SQLITE_OPEN_EXRESCODE,
                                     nullptr);
    made.db_.reset(db);
    if (code != SQLITE_OK) made.fail();
    return made;
}

void Database::execute(const std::string& sql) {
    if (sqlite3_exec(db_.get(), sql.c_str(), nullptr, nullptr, nullptr) != SQLITE_OK) fail();
}

std::int64_t Database::number(const std::string& sql) {
    Statement statement(*this, sql);
    return statement.row() ? statement.integer(0) : 0;
}

bool Database::read_only() const { return sqlite3_db_readonly(db_.get(), "main") == 1; }

bool Database::moved() const {
    int has_moved = 0;
    return sqlite3_file_control(db_.get(), "main", SQLITE_FCNTL_HAS_MOVED, &has_moved) == SQLITE_OK && has_moved != 0;
}

void Database::copy_to(Database& target) {
    sqlite3_backup* backup = sqlite3_backup_init(target.handle(), "main", db_.get(), "main");
    if (backup == nullptr) target.fail();
    // In one step: the copy is of one moment, and a writer in WAL mode is not held up by a reader.
    int code = sqlite3_backup_step(backup, -1);
    const int finished = sqlite3_backup_finish(backup);
    if (code == SQLITE_DONE) code = finished;
    if (code != SQLITE_OK && code != SQLITE_DONE) throw SqlError(code, std::string("can't copy the store: ") + sqlite3_errstr(code));
}

Statement::Statement(Database& db, std::string_view sql) : db_(&db) {
    if (sqlite3_prepare_v2(db.handle(), sql.data(), static_cast<int>(sql.size()), &statement_, nullptr) != SQLITE_OK)
        db.fail();
}

Statement::~Statement() { sqlite3_finalize(statement_); }

Statement::Statement(Statement&& other) noexcept
    : db_(other.db_), statement_(std::exchange(other.statement_, nullptr)) {}

Statement& Statement::bind(int index, std::int64_t value) {
    if (sqlite3_bind_int64(statement_, index, value) != SQLITE_OK) db_->fail();
    return *this;
}

Statement& Statement::bind(int index, std::string_view text) {
    const char* data = text.data() != nullptr ? text.data() : "";
    if (sqlite3_bind_text64(statement_, index, data, text.size(), SQLITE_STATIC, SQLITE_UTF8) != SQLITE_OK)
        db_->fail();
    return *this;
}

Statement& Statement::bind_real(int index, double value) {
    if (sqlite3_bind_double(statement_, index, value) != SQLITE_OK) db_->fail();
    return *this;
}

Statement& Statement::bind_blob(int index, std::string_view bytes) {
    const char* data = bytes.data() != nullptr ? bytes.data() : "";
    if (sqlite3_bind_blob64(statement_, index, data, bytes.size(), SQLITE_STATIC) != SQLITE_OK)
        db_->fail();
    return *this;
}

Statement& Statement::bind_null(int index) {
    if (sqlite3_bind_null(statement_, index) != SQLITE_OK) db_->fail();
    return *this;
}

bool Statement::row() {
    const int code = sqlite3_step(statement_);
    if (code == SQLITE_ROW) return true;
    if (code != SQLITE_DONE) {
        // Reset (an unfinished statement keeps its lock), but throw what the step said.
        try {
            db_->fail();
        } catch (const SqlError&) {
            reset();
            throw;
        }
    }
    reset();
    return false;
}

void Statement::run() {
    while (row()) {}
}

void Statement::reset() { sqlite3_reset(statement_); }

int Statement::columns() const { return sqlite3_column_count(statement_); }

char Statement::kind(int column) const {
    switch (sqlite3_column_type(statement_, column)) {
        case SQLITE_INTEGER: return 'i';
        case SQLITE_FLOAT: return 'r';
        case SQLITE_TEXT: return 't';
        case SQLITE_BLOB: return 'b';
        default: return 'n';
    }
}

std::int64_t Statement::integer(int column) const { return sqlite3_column_int64(statement_, column); }
double Statement::real(int column) const { return sqlite3_column_double(statement_, column); }

std::optional<std::int64_t> Statement::integer_if(int column) const {
    if (kind(column) == 'n') return {};
    return integer(column);
}

std::string_view Statement::text(int column) const {
    const auto* data = reinterpret_cast<const char*>(sqlite3_column_text(statement_, column));
    const int size = sqlite3_column_bytes(statement_, column);
    return data == nullptr ? std::string_view() : std::string_view(data, static_cast<std::size_t>(size));
}

std::string_view Statement::blob(int column) const {
    const auto* data = static_cast<const char*>(sqlite3_column_blob(statement_, column));
    const int size = sqlite3_column_bytes(statement_, column);
    return data == nullptr ? std::string_view() : std::string_view(data, static_cast<std::size_t>(size));
}

Transaction::Transaction(Database& db) : db_(db) { db_.execute("BEGIN IMMEDIATE"); }

Transaction::~Transaction() {
    if (!open_) return;
    // SQLite may have rolled back by itself (disk full, I/O error); then this does nothing.
    sqlite3_exec(db_.handle(), "ROLLBACK", nullptr, nullptr, nullptr);
}

void Transaction::commit() {
    db_.execute("COMMIT");
    open_ = false;
}

OneMoment::OneMoment(Database& db) : db_(db) { db_.execute("BEGIN"); }

OneMoment::~OneMoment() { sqlite3_exec(db_.handle(), "COMMIT", nullptr, nullptr, nullptr); }

}  // namespace halfturn::record
