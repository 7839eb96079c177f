// What the page's server promises: pages that are slow, gone or hostile change nothing in the record or the verdict.
#include <catch2/catch.hpp>

#include <atomic>
#include <memory>
#include <thread>

#include "core/event.hpp"
#include "live/live_job.hpp"
#include "record/reader.hpp"
#include "run_halfturn.hpp"
#include "screen/desk.hpp"
#include "screen/material.hpp"
#include "screen/raw_client.hpp"
#include "screen/server.hpp"
#include "watch/judgement_json.hpp"

using namespace halfturn;
using halfturn::test::Material;
using halfturn::test::RawClient;
using halfturn::test::ws_frame;

namespace {

struct Kept {
    std::string events, judgement, fingerprint;
    Call call = Call::cant_tell;
    std::size_t warnings = 0;
};

Kept run_job(const Material& material, const std::string& name, const std::function<void(live::LiveJob&)>& around) {
    live::Options how;
    how.store_path = (material.bench.folder / name).string();
    how.unattended = true;
    how.instead = material.events;
    live::LiveJob job(material.set_up, how);
    around(job);
    REQUIRE(job.stage() == live::Stage::ended);
    REQUIRE(job.recorded());
    Kept out;
    const Judgement judgement = job.judge().judgement();
    out.call = judgement.call;
    out.fingerprint = judgement.fingerprint;
    out.warnings = job.judge().warnings().size();
    record::Store store = record::Store::open(how.store_path, record::Mode::read);
    record::for_each_event(store, 1, [&](const Event& event) {
        append_event_bytes(event, out.events);
        return true;
    });
    out.judgement = record::read_judgements(store, 1).at(0).judged.json;
    const std::string id = record::find_job(store, "1").job_id;
    out.judgement.erase(out.judgement.find(id), id.size());   // the one thing that differs by design
    return out;
}

// A hundred at once, coming again as often as they are thrown out, for as long as the job goes on.
class Mob {
public:
    explicit Mob(const screen::Server& server) : port_(server.port()), host_("127.0.0.1:" + std::to_string(port_)) {
        for (int i = 0; i < 50; ++i) deaf_.push_back(socket("http://" + host_, host_, 2048));   // never read
        for (int i = 0; i < 50; ++i) rude_.emplace_back(visit(i));
        thread_ = std::thread([this] {
            for (int round = 0; !over_; ++round) {
                RawClient& one = rude_[static_cast<std::size_t>(round) % rude_.size()];
                one = visit(round);
                ++visits_;
            }
        });
    }
    ~Mob() {
        over_ = true;
        thread_.join();
    }
    Mob(const Mob&) = delete;
    Mob& operator=(const Mob&) = delete;
    int visits() const { return visits_; }

private:
    RawClient socket(const std::string& origin, const std::string& host, int receive_bytes = 0) const {
        RawClient client(port_, receive_bytes);
        client.send("GET /live HTTP/1.1\r\nHost: " + host + "\r\nOrigin: " + origin + "\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
                    "Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n");
        return client;
    }
    // Sockets of our own origin wait for the server's greeting, so that what follows is read as frames.
    RawClient guest(const std::string& frame) const {
        RawClient client = socket("http://" + host_, host_);
        client.read_until("\r\n\r\n", 1);
        client.send(frame);
        return client;
    }
    RawClient visit(int which) const {
        const std::string end_it = R"({"key":"00000000000000000000000000000000","act":"end"})";
        switch (which % 8) {
            case 0: {                                                                    // slow headers
                RawClient client(port_);
                client.send("GET / HTTP/1.1\r\nHo");
                return client;
            }
            case 1: return guest(ws_frame(std::string(200'000, 'x')));                   // an oversized frame
            case 2: return guest(ws_frame("{\"act\":\"note\",\"text\":\"\xff\xfe\"}"));  // bad UTF-8
            case 3: return socket("http://" + host_, "example.org");                     // wrong Host
            case 4: return socket("http://example.org", host_);                          // another site's socket
            case 5: return guest(ws_frame(end_it));                                      // acts with a made-up key
            case 6: return guest(ws_frame(std::string("\x00\xff\x10", 3), 0x8f) + "no frame at all");
            default: {                                                                   // a write from elsewhere
                RawClient client(port_);
                client.send("POST /data/photo HTTP/1.1\r\nHost: " + host_ +
                            "\r\nOrigin: http://example.org\r\nContent-Length: 9\r\n\r\nsomething");
                return client;
            }
        }
    }

    unsigned short port_;
    std::string host_;
    std::vector<RawClient> deaf_, rude_;
    std::atomic<bool> over_{false};
    std::atomic<int> visits_{0};
    std::thread thread_;
};

}  // namespace

TEST_CASE("A hundred slow, gone and hostile pages change nothing in the record or the verdict", "[screen][P4]") {
    const Material material("bonded");
    const Kept alone = run_job(material, "alone.db", [](live::LiveJob& job) { job.run(); });
    CHECK(alone.call == Call::stop_and_inspect);
    CHECK(alone.warnings > 0);

    std::string last_state;
    int visits = 0, turns_of_the_mob = 0;
    const Kept beset = run_job(material, "beset.db", [&](live::LiveJob& job) {
        screen::Desk desk;
        screen::Server server({}, [&](const screen::PageAct& act) { desk.act(act); });
        desk.publish_to(server);
        const auto shown = desk.show(job);
        Mob mob(server);
        job.on_change = [&] {
            desk.changed();
            // The job is over in a second of its loop; it goes on only while the mob does.
            while (mob.visits() < turns_of_the_mob) std::this_thread::yield();
            turns_of_the_mob = std::min(turns_of_the_mob + 1, 400);
        };
        job.run();
        desk.changed();
        visits = mob.visits();
        RawClient page(server.port());
        const std::string host = "127.0.0.1:" + std::to_string(server.port());
        page.send("GET /live HTTP/1.1\r\nHost: " + host + "\r\nOrigin: http://" + host + "\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
                  "Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n");
        last_state = page.read_until(R"("stage":"ended")");
    });
    CHECK(visits >= 400);
    CHECK(last_state.find(R"("call":"stop-and-inspect")") != std::string::npos);   // a good page is served all the same
    CHECK(beset.call == alone.call);
    CHECK(beset.fingerprint == alone.fingerprint);
    CHECK(beset.judgement == alone.judgement);
    CHECK((beset.events == alone.events));
}
