// The page's server, over loopback: whatever a caller sends, it is answered or dropped, the next caller is served, however the
// bytes are cut the answer is the same, and no act gets through without the key.
// Input: a first line "http", "frames" or "act"; then a request's bytes, a websocket's bytes after the handshake, or the text
// of one act in a proper frame. @PORT@ stands for the server's port, and @KEY@ for its key (in "act" only).
#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <atomic>
#include <cerrno>
#include <cstring>

#include "fuzz/frame/fuzz.hpp"
#include "screen/raw_client.hpp"
#include "screen/server.hpp"

namespace halfturn::fuzz {
namespace {

std::atomic<int> acts{0};

screen::Server& server() {
    static screen::Server one({}, [](const screen::PageAct&) { ++acts; });
    return one;
}
const std::string& host() {
    static const std::string name = "127.0.0.1:" + std::to_string(server().port());
    return name;
}

// One connection: sends, says that nothing more comes, and reads to the end. Every call comes from another loopback address,
// as the ports of one would be used up within a minute.
std::string call(std::string_view bytes, std::size_t first_send) {
    static std::uint32_t caller = 0;
    const int fd = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    const auto give_up = [&](const char* what) {
        const std::string why = std::strerror(errno);
        ::close(fd);
        broken(std::string("the server could not be ") + what + ": " + why);
    };
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(0x7F010000u + (caller++ & 0xFFFFu));
    if (::bind(fd, reinterpret_cast<const sockaddr*>(&address), sizeof address) != 0) give_up("called");
    address.sin_port = htons(server().port());
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    const int on = 1;
    ::setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
    const timeval within{5, 0};
    ::setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &within, sizeof within);
    // The fuzzer's own clock interrupts any call.
    while (::connect(fd, reinterpret_cast<const sockaddr*>(&address), sizeof address) != 0 && errno != EISCONN)
        if (errno != EINTR && errno != EALREADY) give_up("connected to");
    for (std::string_view rest : {bytes.substr(0, first_send), bytes.substr(std::min(first_send, bytes.size()))}) {
        while (!rest.empty()) {
            const ssize_t count = ::send(fd, rest.data(), rest.size(), MSG_NOSIGNAL);
            if (count < 0 && errno == EINTR) continue;
            if (count <= 0) break;  // it may have had enough
            rest.remove_prefix(static_cast<std::size_t>(count));
        }
    }
    ::shutdown(fd, SHUT_WR);
    std::string answer;
    std::array<char, 16384> piece{};
    ssize_t count = 0;
    while ((count = ::recv(fd, piece.data(), piece.size(), 0)) > 0 || (count < 0 && errno == EINTR))
        if (count > 0) answer.append(piece.data(), static_cast<std::size_t>(count));
    if (count < 0 && (errno == EAGAIN || errno == EWOULDBLOCK)) give_up("made to answer or hang up");
    ::close(fd);
    return answer;
}

std::string get_page() { return call("GET / HTTP/1.1\r\nHost: " + host() + "\r\nConnection: close\r\n\r\n", 10); }

const std::string& key() {
    static const std::string found = [] {
        const std::string page = get_page();
        constexpr std::string_view before = "name=\"halfturn-key\" content=\"";
        const std::size_t at = page.find(before);
        if (at == std::string::npos) broken("the page has no key");
        return page.substr(at + before.size(), page.find('"', at + before.size()) - at - before.size());
    }();
    return found;
}

std::string filled(std::string_view text, std::string_view place, std::string_view with) {
    std::string out(text);
    for (std::size_t at = out.find(place); at != std::string::npos; at = out.find(place, at + with.size()))
        out.replace(at, place.size(), with);
    return out;
}

std::string first_line(const std::string& answer) { return answer.substr(0, answer.find("\r\n")); }

}  // namespace

void try_page(std::string_view bytes) {
    const std::string_view kind = take_line(bytes);
    const std::string upgrade = "GET /live HTTP/1.1\r\nHost: " + host() + "\r\nOrigin: http://" + host() +
                                "\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\n"
                                "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n";
    std::string sent = filled(bytes, "@PORT@", std::to_string(server().port()));
    const int before = acts;
    if (kind == "http") {
        const std::string whole = call(sent, sent.size());
        for (const std::size_t first : {std::size_t{1}, sent.size() / 2})
            // A server that hangs up with bytes unread takes what it said before along; then there is nothing to compare.
            if (const std::string cut = call(sent, first); !cut.empty() && !whole.empty() && first_line(cut) != first_line(whole))
                broken("cut, a request was answered otherwise\n" + whole + "\nbecame\n" + cut);
    } else if (kind == "frames") {
        call(upgrade + sent, upgrade.size() + sent.size() / 2);
    } else if (kind == "act") {
        const bool has_key = sent.find("@KEY@") != std::string::npos;
        call(upgrade + test::ws_frame(filled(sent, "@KEY@", key())), upgrade.size());
        if (has_key) acts = before;
    } else {
        return;
    }
    if (acts != before) broken("an act got through without the key");
    static int since = 0;
    if (++since % 64 == 0 && get_page().substr(0, 12) != "HTTP/1.1 200") broken("the next caller got no page");
}

}  // namespace halfturn::fuzz
