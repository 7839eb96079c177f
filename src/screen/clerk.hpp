// Answers what pages ask besides the page's own files: data that was published under a name, and questions, one after the
// other on a thread of its own, so that a slow disk or a long search holds up neither the live page nor the job.
#pragma once

#include <boost/asio/awaitable.hpp>
#include <boost/asio/thread_pool.hpp>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>

#include "screen/server.hpp"

namespace halfturn::screen {

class Clerk {
public:
    // From any thread.
    void publish(const std::string& name, std::string json);
    void answer(const std::string& name, Answering by);

    // `rest` is what follows /data/ in the question's path. Awaited on the server's loop; the answer is made on the clerk's
    // thread. 404 for a name nobody answers, 503 when too many wait.
    boost::asio::awaitable<Answer> reply(std::string rest, Question question);

    // Waits for the question at hand; no more may come. Before the server's loop goes.
    void end() { thread_.join(); }

private:
    using Text = std::shared_ptr<const std::string>;
    static boost::asio::awaitable<Answer> ask(std::shared_ptr<const Answering> by, Question question);

    std::mutex mutex_;  // guards the next two
    std::map<std::string, Text, std::less<>> data_;
    std::map<std::string, std::shared_ptr<const Answering>, std::less<>> answering_;
    std::size_t waiting_ = 0;  // only on the server's loop
    boost::asio::thread_pool thread_{1};
};

}  // namespace halfturn::screen
