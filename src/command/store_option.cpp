#include "command/store_option.hpp"

#include <cstdio>

#include "command/job_setup.hpp"

namespace halfturn::command {

void add_store_option(CLI::App& command, std::string& path) {
    command.add_option("--store", path, "The store with the recorded jobs (default $XDG_DATA_HOME/halfturn/halfturn.db)");
}

record::Store open_store(const std::string& path, record::Mode mode) {
    record::Store store = record::Store::open(store_or_usual(path), mode);
    for (const std::string& remark : store.remarks()) std::fprintf(stderr, "halfturn: %s\n", remark.c_str());
    return store;
}

}  // namespace halfturn::command
