// For the practice rig's tests: a job run in virtual time, its log taken apart again.
#pragma once

#include <boost/json.hpp>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "practice/log_writer.hpp"

namespace halfturn::practice {

struct LogEvent {
    double t_ms = 0;
    std::string port, bytes, sent, state, operator_did;
};

struct Job {
    std::string log;
    std::vector<LogEvent> events;
    Truth truth;
    Scenario scenario;
    std::string ended_by;
    double end_s = 0;

    std::string bytes_of(std::string_view port) const {
        std::string all;
        for (const auto& event : events)
            if (event.port == port) all += event.bytes;
        return all;
    }
};

inline std::string from_hex(std::string_view hex) {
    const auto digit = [](char c) { return static_cast<char>(c <= '9' ? c - '0' : c - 'a' + 10); };
    std::string bytes;
    for (std::size_t i = 0; i + 1 < hex.size(); i += 2)
        bytes += static_cast<char>(16 * digit(hex[i]) + digit(hex[i + 1]));
    return bytes;
}

inline std::vector<LogEvent> read_log(const std::string& log) {
    std::vector<LogEvent> events;
    for (std::size_t from = 0; from < log.size();) {
        const std::size_t to = log.find('\n', from);
        const auto line = boost::json::parse(log.substr(from, to - from)).as_object();
        LogEvent event;
        event.t_ms = line.at("t_ms").to_number<double>();
        const auto text = [&](const char* key) {
            return line.contains(key) ? std::string(line.at(key).as_string()) : std::string();
        };
        event.port = text("port");
        event.bytes = from_hex(text("hex"));
        event.sent = from_hex(text("sent_hex"));
        event.state = text("state");
        event.operator_did = text("operator");
        events.push_back(std::move(event));
        from = to + 1;
    }
    return events;
}

inline Job run_job(std::string_view name, std::uint64_t seed, const std::vector<std::string>& ports = {},
                   const LogWish& wish = {}, const Wishes& wishes = {}) {
    std::vector<PortWish> port_wishes;
    for (const auto& port : ports) port_wishes.push_back(read_port_wish(port));
    if (ports.empty()) port_wishes = usual_ports();
    Job job;
    job.scenario = make_scenario(find_scenario(name), seed, wishes);
    Bench bench(job.scenario, port_wishes);
    job.log = run_to_log(bench, wish);
    job.events = read_log(job.log);
    job.truth = bench.truth();
    job.ended_by = bench.hand().ended_by();
    job.end_s = bench.t_s();
    return job;
}

}  // namespace halfturn::practice
