// halfturn: the press-job instrument. Everything it can do is one file in commands/.
#include <csignal>
#include <cstdio>
#include <exception>
#include <string>
#include <string_view>
#include <vector>

#include "command/command_list.hpp"
#include "core/failure.hpp"
#include "core/nearest_word.hpp"
#include "core/utf8.hpp"

namespace halfturn::command {

void print(const std::string& text) {
    if (std::fwrite(text.data(), 1, text.size(), stdout) != text.size() || std::fflush(stdout) != 0)
        throw Failure("can't write to standard output: the disk behind it may be full, or its reader has gone");
}

CLI::App* add_subcommand(CLI::App& parent, const std::string& name, const std::string& help,
                         const std::function<void(CLI::App&)>& add_options) {
    CLI::App* command = parent.add_subcommand(name, help);
    command->preparse_callback([command, add_options](std::size_t) { add_options(*command); });
    return command;
}

namespace {

// Building the options of all takes longer than most commands run, so only the one that is wanted has them. Where there is none
// of that name they stand there by name, for --help and for the message that says so.
void add_commands(CLI::App& app, Status& status, std::string_view wanted) {
    for (const Command* command : commands)
        if (command->name == wanted) return command->add_options(app.add_subcommand(command->name, command->description), status);
    std::vector<std::string> names;
    for (const Command* command : commands) names.push_back(app.add_subcommand(command->name, command->description)->get_name());
    if (wanted.empty() || wanted.starts_with('-')) return;
    const std::string near = nearest_word(wanted, names);
    throw BadInput("there is no command " + shown(wanted) +
                   (near.empty() ? ": `halfturn --help` lists them" : "; did you mean " + near + "?"));
}

}  // namespace

}  // namespace halfturn::command

int main(int argc, char** argv) {
    using namespace halfturn;
    std::signal(SIGPIPE, SIG_IGN);
    CLI::App app{"halfturn watches a bearing press: what force this fit should need, where the press is, when to stop.",
                 "halfturn"};
    app.set_version_flag("--version", "halfturn " HALFTURN_VERSION);
    app.require_subcommand(1);
    command::Status status;
    try {
        command::add_commands(app, status, argc > 1 ? argv[1] : "");
        app.parse(argc, argv);
        return status.code;
    } catch (const CLI::ParseError& error) {
        const int code = app.exit(error);
        return code == 0 ? 0 : 2;
    } catch (const BadInput& error) {
        std::fprintf(stderr, "halfturn: %s\n", error.what());
        return 2;
    } catch (const std::exception& error) {
        std::fprintf(stderr, "halfturn: %s\n", error.what());
        return 1;
    }
}
