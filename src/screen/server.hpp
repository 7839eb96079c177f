// The server behind the page: HTTP for its files, a WebSocket for the newest state out and acts in. It has a thread and a
// loop of its own, so that a page that is slow, gone or hostile holds up nothing at the bench.
//   Server server({.port = 0}, [&](const PageAct& act) { desk.act(act); });   // called on the server's thread
//   server.publish(state);                                                    // from any thread; never waits for a page
//
// Handing over: publish() replaces the newest state. Each page has one write in flight and then gets whatever is newest;
// nothing is ever queued for a page. A page that neither reads nor answers pings is dropped after ten seconds.
// Guarding: loopback only unless `lan`; Host, Origin and Sec-Fetch-Site are checked against exact lists; acts carry a key
// that only our own page was given; header, message, upload, time, connection and rate limits; a content security policy without
// anything inline.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "screen/page_act.hpp"

namespace halfturn::screen {

struct ServerOptions {
    unsigned short port = 0;          // 0: any free one
    bool lan = false;                 // other devices may look on, each let in by a one-time key
    std::size_t most_connections = 256;
    double header_within_s = 5;
    double idle_s = 10;               // a page that has not answered for so long is dropped
    double upload_within_s = 30;
    std::size_t largest_upload_bytes = 8 * 1024 * 1024;
};

// What a page asks beyond what is published: a past job, or to keep a photo.
struct Question {
    std::string path;                 // after /data/NAME/
    std::string query;                // after the "?", as it came
    bool post = false;                // a write by our own page; a read else
    std::string body;                 // of a post
};
struct Answer {
    int status = 200;
    std::string type = "application/json";
    std::string body;
};
using Answering = std::function<Answer(const Question&)>;

class Server {
public:
    using OnAct = std::function<void(const PageAct&)>;

    // Throws Failure when the port can't be had.
    Server(const ServerOptions& options, OnAct on_act);
    ~Server();
    Server(const Server&) = delete;
    Server& operator=(const Server&) = delete;

    void publish(std::string state_json);
    // What GET /data/NAME answers from now on.
    void publish_data(const std::string& name, std::string json);

    // Who answers GET and POST at /data/NAME and /data/NAME/…: on a thread of its own, one question after the other, so that
    // a slow disk holds up no page. BadInput becomes 400 and Failure 500, with the message as text.
    void answer(const std::string& name, Answering by);

    // SIGINT, SIGTERM or SIGHUP, on the server's thread.
    void on_signal(std::function<void()> what);

    unsigned short port() const;
    std::string address() const;                     // http://127.0.0.1:PORT/
    // With `lan`: this machine's addresses for other devices, with the one-time key that is good now; a used key is replaced
    // by a new one, and `on_new_key` is called.
    std::vector<std::string> addresses_for_others() const;
    void on_new_key(std::function<void()> what);

private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
};

}  // namespace halfturn::screen
