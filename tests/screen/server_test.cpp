// The server against callers it must refuse and pages that misbehave. RFC 9110 (Host, status codes), RFC 6455 (frames),
// RFC 6454 (Origin).
#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <condition_variable>
#include <cstdlib>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

#include "core/failure.hpp"
#include "screen/door.hpp"
#include "screen/raw_client.hpp"
#include "screen/server.hpp"

using namespace halfturn;
using namespace halfturn::screen;
using halfturn::test::RawClient;
using halfturn::test::ws_frame;

namespace {

struct Acts {
    std::mutex mutex;
    std::vector<PageAct> all;
    void add(const PageAct& act) {
        const std::lock_guard lock(mutex);
        all.push_back(act);
    }
    std::size_t count() {
        const std::lock_guard lock(mutex);
        return all.size();
    }
};

struct Served {
    Acts acts;
    Server server;
    explicit Served(ServerOptions options = {}) : server(options, [this](const PageAct& act) { acts.add(act); }) {}
    std::string host() const { return "127.0.0.1:" + std::to_string(server.port()); }

    std::string get(const std::string& head) {
        RawClient client(server.port());
        client.send(head);
        client.read_until("", 0.4);
        return client.read_until("\r\n\r\n", 0);
    }
    std::string status(const std::string& head) {
        RawClient client(server.port());
        client.send(head);
        return client.read_until("\r\n\r\n").substr(9, 3);
    }
    std::string upgrade(const std::string& more) const {
        return "GET /live HTTP/1.1\r\nHost: " + host() + "\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
               "Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n" + more + "\r\n";
    }
    RawClient page(int receive_bytes = 0) const {
        RawClient client(server.port(), receive_bytes);
        client.send(upgrade("Origin: http://" + host() + "\r\n"));
        return client;
    }
    std::string key() {
        const std::string page = get("GET / HTTP/1.1\r\nHost: " + host() + "\r\n\r\n");
        const std::string before = "name=\"halfturn-key\" content=\"";
        const auto at = page.find(before);
        REQUIRE(at != std::string::npos);
        return page.substr(at + before.size(), page.find('"', at + before.size()) - at - before.size());
    }
};

}  // namespace

TEST_CASE("The page is served to its own host only", "[screen]") {
    Served s;
    const std::string port = std::to_string(s.server.port());
    CHECK(s.status("GET / HTTP/1.1\r\nHost: " + s.host() + "\r\n\r\n") == "200");
    CHECK(s.status("GET / HTTP/1.1\r\nHost: localhost:" + port + "\r\n\r\n") == "200");
    for (const std::string& host :
         std::vector<std::string>{"example.org", "127.0.0.1", "127.0.0.1.example.org:" + port, "127.0.0.2:" + port,
                                  "evil@127.0.0.1:" + port, "localhost:1", "[::]:" + port})
        CHECK(s.status("GET / HTTP/1.1\r\nHost: " + host + "\r\n\r\n") == "421");
    CHECK(s.status("GET / HTTP/1.1\r\n\r\n") == "421");
    CHECK(s.status("GET / HTTP/1.1\r\nHost: " + s.host() + "\r\nHost: example.org\r\n\r\n") == "421");
    CHECK(s.status("GET /../../etc/passwd HTTP/1.1\r\nHost: " + s.host() + "\r\n\r\n") == "404");
    CHECK(s.status("DELETE / HTTP/1.1\r\nHost: " + s.host() + "\r\n\r\n") == "405");
    CHECK(s.status("POST / HTTP/1.1\r\nHost: " + s.host() + "\r\nContent-Length: 5\r\n\r\nhello") != "200");
}

TEST_CASE("Pages of other sites are refused", "[screen]") {
    Served s;
    const std::string get = "GET /data/curve HTTP/1.1\r\nHost: " + s.host() + "\r\n";
    s.server.publish_data("curve", "{}");
    CHECK(s.status(get + "\r\n") == "200");
    CHECK(s.status(get + "Origin: http://example.org\r\n\r\n") == "403");
    CHECK(s.status(get + "Origin: null\r\n\r\n") == "403");
    CHECK(s.status(get + "Sec-Fetch-Site: cross-site\r\n\r\n") == "403");
    CHECK(s.status(get + "Sec-Fetch-Site: same-site\r\n\r\n") == "403");
    CHECK(s.status(s.upgrade("")) == "403");
    CHECK(s.status(s.upgrade("Origin: http://example.org\r\n")) == "403");
    CHECK(s.status(s.upgrade("Origin: https://" + s.host() + "\r\n")) == "403");
    CHECK(s.status(s.upgrade("Origin: http://" + s.host() + ".example.org\r\n")) == "403");
    CHECK(s.status(s.upgrade("Origin: http://" + s.host() + "\r\n")) == "101");
}

TEST_CASE("What the browser is told to forbid", "[screen]") {
    Served s;
    const std::string head = s.get("GET / HTTP/1.1\r\nHost: " + s.host() + "\r\n\r\n");
    CHECK(head.find("default-src 'none'; script-src 'self'; style-src 'self'") != std::string::npos);
    CHECK(head.find("unsafe") == std::string::npos);
    CHECK(head.find("frame-ancestors 'none'") != std::string::npos);
    CHECK(head.find("X-Content-Type-Options: nosniff") != std::string::npos);
    CHECK(head.find("@KEY@") == std::string::npos);
}

TEST_CASE("Acts need the key, and come through whole", "[screen]") {
    Served s;
    const std::string key = s.key();
    CHECK(key.size() == 32);
    RawClient page = s.page();
    page.read_until("\r\n\r\n");
    page.send(ws_frame(R"({"key":")" + key + R"(","act":"note","text":"gr\u00fcn"})"));
    for (int i = 0; i < 100 && s.acts.count() == 0; ++i) std::this_thread::sleep_for(std::chrono::milliseconds(20));
    REQUIRE(s.acts.count() == 1);
    CHECK(s.acts.all[0].act == "note");
    CHECK(s.acts.all[0].text == "grün");
    const auto refused = [&](const std::string& frame) {
        RawClient bad = s.page();
        bad.read_until("\r\n\r\n");
        bad.send(frame);
        const bool closed = bad.closed_within(3) || bad.closed_within(3) || bad.closed_within(3);
        return closed && s.acts.count() == 1;
    };
    CHECK(refused(ws_frame(R"({"key":"00000000000000000000000000000000","act":"end"})")));
    CHECK(refused(ws_frame(R"({"act":"end"})")));
    CHECK(refused(ws_frame(R"({"key":")" + key + R"(","act":"format-disk"})")));
    CHECK(refused(ws_frame(R"({"key":")" + key + R"(","act":"end","more":1})")));
    CHECK(refused(ws_frame("no JSON at all")));
    CHECK(refused(ws_frame(R"({"key":")" + key + R"(","act":"end"})", 0x82)));                               // binary
    CHECK(refused(ws_frame(R"({"key":")" + key + "\",\"act\":\"note\",\"text\":\"\xff\xfe\"}")));              // bad UTF-8
    CHECK(refused(ws_frame(R"({"key":")" + key + R"(","act":"note","text":")" + std::string(100'000, 'a') + "\"}")));  // oversize
    CHECK(refused(ws_frame(std::string("{\"key\":") + std::string(12'000, '['))));                              // deep
    std::string flood;
    for (int i = 0; i < 200; ++i) flood += ws_frame(R"({"key":")" + key + R"(","act":"silence"})");
    RawClient eager = s.page();
    eager.read_until("\r\n\r\n");
    eager.send(flood);
    CHECK((eager.closed_within(3) || eager.closed_within(3)));
    CHECK(s.acts.count() <= 1 + 40);
}

TEST_CASE("Endless and slow headers are cut off", "[screen]") {
    Served s({.header_within_s = 0.5});
    RawClient slow(s.server.port());
    slow.send("GET / HTTP/1.1\r\nHo");
    RawClient huge(s.server.port());
    huge.send("GET / HTTP/1.1\r\nHost: " + s.host() + "\r\nX: " + std::string(40'000, 'x'));
    CHECK((slow.closed_within(3)));
    huge.read_until("", 1);
    CHECK(huge.closed_within(3));
    CHECK(s.status("GET / HTTP/1.1\r\nHost: " + s.host() + "\r\n\r\n") == "200");
}

TEST_CASE("A hundred pages of which half never read delay nobody", "[screen]") {
    Served s({.most_connections = 128, .idle_s = 60});
    std::vector<RawClient> deaf, listening;
    for (int i = 0; i < 50; ++i) {
        deaf.push_back(s.page(2048));
        listening.push_back(s.page());
    }
    for (auto& page : listening) page.read_until("\r\n\r\n");
    // Far more than any socket buffer holds: were states queued for a page, memory would grow by gigabytes here.
    const std::string filling(20'000, 'x');
    std::chrono::steady_clock::duration longest{};
    for (int i = 0; i < 2000; ++i) {
        const auto start = std::chrono::steady_clock::now();
        s.server.publish("{\"n\":" + std::to_string(i) + ",\"filling\":\"" + filling + "\"}");
        longest = std::max(longest, std::chrono::steady_clock::now() - start);
    }
    s.server.publish(R"({"n":"newest"})");
    for (auto& page : listening) CHECK(page.read_until(R"({"n":"newest"})", 10).find(R"({"n":"newest"})") != std::string::npos);
    CHECK(std::chrono::duration<double>(longest).count() < 0.25);  // a lock held for a swap, on a busy machine
    CHECK(s.status("GET / HTTP/1.1\r\nHost: " + s.host() + "\r\n\r\n") == "200");
}

// What is on its way when a page stops reading is what the kernel holds and one write; all that is published meanwhile is
// passed over but for the last.
TEST_CASE("A page that was slow gets the newest state next, never what it missed", "[screen]") {
    Served s({.idle_s = 60});
    constexpr int states = 3000, state_bytes = 8000;
    const auto state = [](int n) { return "{\"n\":" + std::to_string(n) + ",\"fill\":\"" + std::string(state_bytes, 'x') + "\"}"; };
    RawClient slow = s.page(4096), quick = s.page();
    for (int n = 1; n <= states; ++n) {
        s.server.publish(state(n));
        if (n % 100 == 0) {   // the quick page shows that the server has really gone on
            quick.read_until("\"n\":" + std::to_string(n) + ",", 10);
            quick.forget();
        }
    }
    const std::string newest = "\"n\":" + std::to_string(states) + ",";
    const std::string got = slow.read_until(newest, 10);
    CHECK(got.find(newest) != std::string::npos);
    std::vector<int> numbers;
    for (std::size_t at = got.find("\"n\":"); at != std::string::npos; at = got.find("\"n\":", at + 1))
        numbers.push_back(std::atoi(got.c_str() + at + 4));
    REQUIRE(numbers.size() >= 2);
    CHECK(std::is_sorted(numbers.begin(), numbers.end(), std::less_equal<>()));   // none twice, none late
    CHECK(numbers.size() < 60);                                                     // the kernel's buffers, not a queue
    CHECK(numbers.back() - numbers[numbers.size() - 2] > states / 2);               // over everything missed in one step
}

TEST_CASE("A page is told at least every third of a second that the server lives", "[screen]") {
    Served s;
    s.server.publish(R"({"n":1})");
    RawClient page = s.page();
    page.read_until(R"({"n":1})");
    page.forget();
    CHECK(page.read_until(R"({"t":"alive"})", 0.9).find("alive") != std::string::npos);
}

TEST_CASE("Connections beyond the limit are closed, and room comes back", "[screen]") {
    Served s({.most_connections = 8});
    std::vector<RawClient> many;
    for (int i = 0; i < 8; ++i) {
        many.push_back(s.page());
        many.back().read_until("\r\n\r\n");
    }
    RawClient late(s.server.port());
    CHECK(late.closed_within(2));
    many.clear();
    std::string status;
    for (int i = 0; i < 100 && status != "200"; ++i) {
        RawClient again(s.server.port());
        again.send("GET / HTTP/1.1\r\nHost: " + s.host() + "\r\n\r\n");
        const std::string answer = again.read_until("\r\n\r\n", 1);
        status = answer.size() > 12 ? answer.substr(9, 3) : "";
    }
    CHECK(status == "200");
}

TEST_CASE("Questions are answered on a thread of their own, and hold up no page", "[screen]") {
    Served s;
    std::mutex mutex;
    std::condition_variable some;
    bool go_on = false;
    s.server.answer("past", [&](const Question& q) -> Answer {
        if (q.path == "bad") throw BadInput("there is no such job");
        if (q.path == "broken") throw Failure("the disk is gone");
        if (q.path == "slow") {
            std::unique_lock lock(mutex);
            some.wait_for(lock, std::chrono::seconds(20), [&] { return go_on; });
        }
        return {200, "application/json", "[" + q.path + "|" + q.query + "|" + (q.post ? "post" : "get") + "]"};
    });
    const auto get = [&](const std::string& path) { return "GET " + path + " HTTP/1.1\r\nHost: " + s.host() + "\r\n\r\n"; };
    CHECK(s.get(get("/data/past/job/7?from=2")).find("[job/7|from=2|get]") != std::string::npos);
    CHECK(s.get(get("/data/past")).find("[||get]") != std::string::npos);
    CHECK(s.status(get("/data/past/bad")) == "400");
    CHECK(s.get(get("/data/past/bad")).find("there is no such job") != std::string::npos);
    CHECK(s.status(get("/data/past/broken")) == "500");
    CHECK(s.status(get("/data/future")) == "404");
    // While one waits for its answer, pages are served and told that the server lives; too many waiting are turned away.
    std::vector<RawClient> waiting;
    for (int i = 0; i < 34; ++i) {
        waiting.emplace_back(s.server.port());
        waiting.back().send(get("/data/past/slow"));
    }
    CHECK(s.status(get("/")) == "200");
    RawClient page = s.page();
    CHECK(page.read_until(R"({"t":"alive"})").find("alive") != std::string::npos);
    CHECK(waiting.back().read_until("\r\n\r\n").find(" 503 ") != std::string::npos);
    {
        const std::lock_guard lock(mutex);
        go_on = true;
    }
    some.notify_all();
    CHECK(waiting.front().read_until("get]").find("[slow||get]") != std::string::npos);
}

TEST_CASE("Writes come only from our own page, whole and not too large", "[screen]") {
    Served s({.header_within_s = 0.7, .upload_within_s = 0.7, .largest_upload_bytes = 1000});
    std::atomic<std::size_t> kept{0};
    s.server.answer("photo", [&](const Question& q) -> Answer {
        if (q.post) kept += q.body.size();
        return {200, "text/plain", "kept"};
    });
    const std::string key = s.key();
    const auto post = [&](const std::string& path, const std::string& more, std::size_t size,
                          const std::string& method = "POST") {
        return method + " " + path + " HTTP/1.1\r\nHost: " + s.host() + "\r\nContent-Length: " + std::to_string(size) + "\r\n" +
               more + "\r\n";
    };
    const std::string origin = "Origin: http://" + s.host() + "\r\n", with_key = "X-Halfturn-Key: " + key + "\r\n";
    const std::string body(900, 'b');
    CHECK(s.status(post("/data/photo", origin + with_key, 900) + body) == "200");
    CHECK(kept == 900);
    CHECK(s.status(post("/data/photo", with_key, 900) + body) == "403");                                                // no origin
    CHECK(s.status(post("/data/photo", "Origin: http://example.org\r\n" + with_key, 900) + body) == "403");
    CHECK(s.status(post("/data/photo", origin, 900) + body) == "403");                                                  // no key
    CHECK(s.status(post("/data/photo", origin + "X-Halfturn-Key: 0000\r\n", 900) + body) == "403");
    CHECK(s.status(post("/data/photo", origin + with_key + with_key, 900) + body) == "403");                            // two keys
    CHECK(s.status(post("/data/photo", origin + with_key + "Sec-Fetch-Site: cross-site\r\n", 900) + body) == "403");
    CHECK(s.status(post("/data/photo", origin + with_key, 900, "PUT") + body) == "405");
    CHECK(s.status(post("/main.js", origin + with_key, 900) + body) == "405");
    CHECK(s.status(post("/data/nothing", origin + with_key, 900) + body) == "404");
    CHECK(s.status(post("/data/photo", origin + with_key, 1001) + std::string(1001, 'b')) == "413");
    CHECK(s.status("GET /data/photo HTTP/1.1\r\nHost: " + s.host() + "\r\nContent-Length: 900\r\n\r\n" + body) == "400");
    // Chunked, and more than allowed: known only on the way.
    CHECK(s.status("POST /data/photo HTTP/1.1\r\nHost: " + s.host() + "\r\nTransfer-Encoding: chunked\r\n" + origin + with_key + "\r\n500\r\n" +
                   std::string(0x500, 'b') + "\r\n0\r\n\r\n") == "413");
    // One that never sends its body is cut off, and two of them leave room for none till then.
    RawClient one(s.server.port()), two(s.server.port());
    one.send(post("/data/photo", origin + with_key, 900));
    two.send(post("/data/photo", origin + with_key, 900));
    std::string third = "200";
    for (int i = 0; i < 50 && third == "200"; ++i) third = s.status(post("/data/photo", origin + with_key, 0));
    CHECK(third == "503");
    CHECK(one.closed_within(3));
    CHECK(two.closed_within(3));
    CHECK(s.status(post("/data/photo", origin + with_key, 900) + body) == "200");
    CHECK(kept == 1800);
}

TEST_CASE("The door lets another device in by the one-time key, once, and then by its cookie", "[screen]") {
    Door door({"127.0.0.1", "192.0.2.9"}, 8437);
    int renewed = 0;
    door.on_new_join_key([&] { ++renewed; });
    RequestHead head{"GET", "/", "192.0.2.9:8437", "", "", "", "", false, false, false};
    CHECK(door.answer_to(head) == Door::Say::stranger);
    const std::string wrong = "/?join=" + std::string(32, '0'), right = "/?join=" + door.join_key();
    head.target = wrong;
    CHECK(door.answer_to(head) == Door::Say::stranger);
    head.target = right;
    head.host = "192.0.2.8:8437";
    CHECK(door.answer_to(head) == Door::Say::other_host);
    head.host = "192.0.2.9:8437";
    head.site = "cross-site";
    CHECK(door.answer_to(head) == Door::Say::other_site);
    head.site = "none";
    CHECK(renewed == 0);
    CHECK(door.answer_to(head) == Door::Say::join);
    CHECK(renewed == 1);
    CHECK(door.answer_to(head) == Door::Say::stranger);   // used up
    head.target = "/live";
    head.upgrade = true;
    CHECK(door.answer_to(head) == Door::Say::other_site);  // a socket names its origin
    head.has_origin = true;
    head.origin = "http://192.0.2.9:8437";
    CHECK(door.answer_to(head) == Door::Say::stranger);
    const std::string cookies = "halfturn=old; other=1; halfturn=" + door.key();
    head.cookie = cookies;
    CHECK(door.answer_to(head) == Door::Say::enter);
    head.target = "/data/curve";
    CHECK(door.answer_to(head) == Door::Say::no_such_place);
}

TEST_CASE("Another device comes in over this machine's own network address", "[screen]") {
    Served s({.lan = true});
    const std::vector<std::string> addresses = s.server.addresses_for_others();
    if (addresses.empty()) {
        WARN("this machine has no address besides loopback: only the door's own test shows how other devices get in");
        return;
    }
    const std::string address = addresses.front(), http = "http://";
    const auto slash = address.find('/', http.size());
    const std::string host = address.substr(http.size(), slash - http.size()), at = host.substr(0, host.find(':')),
                      join = address.substr(slash);
    const auto ask = [&](const std::string& head) {
        RawClient client(s.server.port(), 0, at.c_str());
        client.send(head);
        client.read_until("\r\n\r\n");
        return client.read_until("", 0.3);
    };
    CHECK(ask("GET / HTTP/1.1\r\nHost: " + host + "\r\n\r\n").find(" 403 ") != std::string::npos);
    CHECK(ask("GET / HTTP/1.1\r\nHost: " + s.host() + "\r\n\r\n").find(" 403 ") != std::string::npos);  // naming itself near is no help
    const std::string in = ask("GET " + join + " HTTP/1.1\r\nHost: " + host + "\r\n\r\n");
    CHECK(in.find(" 303 ") != std::string::npos);
    const auto cookie_at = in.find("Set-Cookie: ");
    REQUIRE(cookie_at != std::string::npos);
    CHECK(in.find("HttpOnly; SameSite=Strict; Path=/") != std::string::npos);
    const std::string cookie = "Cookie: " + in.substr(cookie_at + 12, in.find(';', cookie_at) - cookie_at - 12) + "\r\n";
    CHECK(ask("GET " + join + " HTTP/1.1\r\nHost: " + host + "\r\n\r\n").find(" 403 ") != std::string::npos);
    CHECK(s.server.addresses_for_others().front() != address);
    CHECK(ask("GET / HTTP/1.1\r\nHost: " + host + "\r\n" + cookie + "\r\n").find("halfturn-key") != std::string::npos);
    CHECK(ask("GET /live HTTP/1.1\r\nHost: " + host + "\r\n" + cookie + "Origin: http://" + host + "\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
              "Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n").find(" 101 ") != std::string::npos);
    // Without --lan the same address is not even listened at.
    Served alone;
    CHECK_THROWS(RawClient(alone.server.port(), 0, at.c_str()));
}
