// halfturn instruments save: the instrument's block for the rig file, printed or put into one.
#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <memory>

#include "command/command.hpp"
#include "command/instrument_block.hpp"
#include "command/instruments.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "files/rig_file.hpp"
#include "files/whole_file.hpp"
#include "ports/serial_port.hpp"

namespace halfturn::command {
namespace {

struct SaveOptions {
    PortChoice port;
    InstrumentBlock block;
    std::string to;
    bool json = false;
};

// The new file beside the old one, then in its place: a full disk leaves the old one as it was.
void replace_file(const std::string& path, const std::string& text) {
    const std::string beside = path + ".new";
    const auto problem = [&] { return Failure(path + ": can't be written (" + std::strerror(errno) + ")"); };
    {
        const Descriptor file(::open(beside.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644));
        if (!file) throw problem();
        for (std::size_t at = 0; at < text.size();) {
            const ssize_t count = ::write(file.get(), text.data() + at, text.size() - at);
            if (count < 0 && errno != EINTR) throw problem();
            if (count > 0) at += static_cast<std::size_t>(count);
        }
        if (::fsync(file.get()) != 0) throw problem();
    }
    if (::rename(beside.c_str(), path.c_str()) != 0) throw problem();
}

void run(SaveOptions options) {
    if (options.port.format.empty())
        throw BadInput("--format is needed; `halfturn instruments listen " + options.port.device + "` finds the one that fits");
    const PortSetUp port = port_from(options.port);
    options.block.device = port.device;
    options.block.format = port.format;
    options.block.settings = settings_from(options.port.set);
    options.block.line = port.line;
    const std::string text = block_text(options.block);
    // What the rig file's reader would refuse is refused here, in its words.
    read_rig_text("name = \"check\"\n" + text, "the block");
    if (options.to.empty() && !options.json) return print(text);
    if (options.to.empty()) {
        JsonWriter out;
        return print(out.object().put("block", text).end().take() + "\n");
    }
    const bool there = std::filesystem::exists(options.to);
    std::string rig = there ? whole_file(options.to)
                            : "name = \"my press\"\n\n[screw]\n# thread = \"M8\"\n\n[press]\nstiffness_N_per_mm = \"unknown\"\n"
                              "force_limit_N = \"unknown\"   # the weakest part's rated load: fill it in\n";
    if (there) read_rig_text(rig, options.to);
    if (!rig.empty() && rig.back() != '\n') rig += '\n';
    rig += "\n" + text;
    read_rig_text(rig, options.to + " with the new block");
    replace_file(options.to, rig);
    if (options.json) {
        JsonWriter out;
        print(out.object().put("block", text).put("file", options.to).end().take() + "\n");
    } else {
        print("Saved in " + options.to + ":\n\n" + text);
    }
}

}  // namespace

void add_save(CLI::App& instruments) {
    add_subcommand(instruments, "save", "Write an instrument's [[port]] and [[channel]] for the rig file", [](CLI::App& command) {
        auto options = std::make_shared<SaveOptions>();
        command.add_option("device", options->port.device, "The port; its stable name is what is written")->required();
        add_port_options(command, options->port);
        auto& block = options->block;
        command.add_option("--measures", block.measures, "What it measures: force, screw-travel, ring-travel or turns")
            ->required()
            ->check(CLI::IsMember({"force", "screw-travel", "ring-travel", "turns"}));
        command.add_option("--name", block.name, "What the port is called; else what it measures");
        command.add_option("--index", block.index, "Which of several values on the port (\"X\", \"1\")");
        command.add_option("--unit", block.unit, "The unit it must print (mm, N, kg, counts …)");
        command.add_flag("--mass-as-force", block.mass_as_force, "Its kg or lb stand for force");
        command.add_option("--sign", block.sign, "-1 when it counts down while you pull")->check(CLI::IsMember({1, -1}));
        command.add_option("--counts-per-turn", block.counts_per_turn, "Of a turn counter");
        command.add_option("--calibration", block.calibration, "c0 c1 [c2 [c3]] of force or travel over what is printed")->expected(2, 4);
        command.add_option("--certificate", block.certificate, "Id of the certificate to use instead");
        command.add_option("--capacity", block.capacity, "Largest value it is made for, N or mm");
        command.add_option("--readings-per-s", block.readings_per_s, "Its true rate (`halfturn instruments settle` measures it)");
        command.add_option("--least-count", block.least_count, "Its smallest step, N or mm");
        command.add_option("--lag", block.lag_s, "Its measured lag in seconds, instead of the format's");
        command.add_option("--to", options->to, "Put the block into this rig file (a new one is begun); else it is printed");
        command.add_flag("--json", options->json, "Print JSON");
        command.callback([options] { run(*options); });
    });
}

}  // namespace halfturn::command
