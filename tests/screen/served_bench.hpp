// `halfturn serve` as its own process, and plain HTTP questions to it.
//   const ServedBench bench(store);   bench.get("/data/review/jobs?most=5").status
#pragma once

#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <boost/json.hpp>
#include <stdexcept>
#include <string>

#include "screen/raw_client.hpp"

namespace halfturn::test {

struct Reply {
    int status = 0;
    std::string head, body;
    boost::json::value json() const { return boost::json::parse(body); }
};

class ServedBench {
public:
    explicit ServedBench(const std::string& store) {
        int out[2];
        if (::pipe2(out, O_CLOEXEC) != 0) throw std::runtime_error("no pipe");
        child_ = ::fork();
        if (child_ == 0) {
            ::dup2(out[1], 1);
            ::execl(HALFTURN_BUILD_DIR "/halfturn", "halfturn", "serve", "--json", "--port", "0", "--store", store.c_str(),
                    static_cast<char*>(nullptr));
            ::_exit(127);
        }
        ::close(out[1]);
        std::string line;
        for (char c; line.find('\n') == std::string::npos && ::read(out[0], &c, 1) == 1;) line += c;
        ::close(out[0]);
        const auto at = line.find("127.0.0.1:");
        if (at == std::string::npos) throw std::runtime_error("halfturn serve said: " + line);
        port_ = static_cast<unsigned short>(std::stoi(line.substr(at + 10)));
    }
    ~ServedBench() {
        ::kill(child_, SIGTERM);
        ::waitpid(child_, nullptr, 0);
    }
    ServedBench(const ServedBench&) = delete;
    ServedBench& operator=(const ServedBench&) = delete;

    Reply get(const std::string& target, const std::string& more = "", const std::string& method = "GET") const {
        RawClient client(port_);
        client.send(method + " " + target + " HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(port_) +
                    "\r\nConnection: close\r\n" + more + "\r\n");
        const std::string all = client.read_until("", 20);
        Reply reply;
        if (all.size() > 12) reply.status = std::stoi(all.substr(9, 3));
        const auto end = all.find("\r\n\r\n");
        reply.head = all.substr(0, end);
        if (end != std::string::npos) reply.body = all.substr(end + 4);
        return reply;
    }
    unsigned short port() const { return port_; }

private:
    pid_t child_ = -1;
    unsigned short port_ = 0;
};

}  // namespace halfturn::test
