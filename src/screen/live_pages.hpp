// The pages that look on over a WebSocket: each is sent the newest state, never a queue of old ones, and its acts come back.
// All but publish() runs on the server's loop.
#pragma once

#include <atomic>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/beast/core/tcp_stream.hpp>
#include <boost/beast/http.hpp>
#include <chrono>
#include <functional>
#include <memory>
#include <mutex>
#include <set>
#include <string>

#include "screen/page_act.hpp"

namespace halfturn::screen {

// Awaits an operation whose error comes back with its result; none is thrown.
inline constexpr auto quietly = boost::asio::as_tuple(boost::asio::use_awaitable);

struct LivePage;

class LivePages {
public:
    struct Limits {
        std::chrono::steady_clock::duration handshake, idle;
    };
    // `key` is what an act must carry.
    LivePages(boost::asio::io_context& io, Limits limits, std::string key, std::function<void(const PageAct&)> on_act);

    // From any thread; never waits for a page.
    void publish(std::string state_json);

    // One page from its upgrade to its end.
    boost::asio::awaitable<void> serve(boost::beast::tcp_stream stream,
                                       boost::beast::http::request<boost::beast::http::empty_body> request);

private:
    using Text = std::shared_ptr<const std::string>;
    std::pair<Text, std::uint64_t> newest() const;
    boost::asio::awaitable<void> tell(std::shared_ptr<LivePage> page);
    boost::asio::awaitable<void> listen(std::shared_ptr<LivePage> page);
    void wake();

    boost::asio::io_context& io_;
    const Limits limits_;
    const std::string key_;
    const std::function<void(const PageAct&)> on_act_;
    mutable std::mutex mutex_;  // guards the next two
    Text state_;
    std::uint64_t version_ = 1;
    std::atomic<bool> wake_posted_{false};
    std::set<LivePage*> pages_;
};

}  // namespace halfturn::screen
