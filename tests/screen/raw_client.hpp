// A client that may be as rude as it likes: plain sockets, every byte its own.
#pragma once

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>

namespace halfturn::test {

class RawClient {
public:
    explicit RawClient(unsigned short port, int receive_bytes = 0, const char* at = "127.0.0.1")
        : fd_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
        if (receive_bytes > 0) ::setsockopt(fd_, SOL_SOCKET, SO_RCVBUF, &receive_bytes, sizeof receive_bytes);
        sockaddr_in to{};
        to.sin_family = AF_INET;
        to.sin_port = htons(port);
        ::inet_pton(AF_INET, at, &to.sin_addr);
        if (::connect(fd_, reinterpret_cast<const sockaddr*>(&to), sizeof to) != 0) throw std::runtime_error("can't connect");
    }
    RawClient(RawClient&& other) noexcept : fd_(other.fd_), unread_(std::move(other.unread_)), closed_(other.closed_) { other.fd_ = -1; }
    RawClient& operator=(RawClient&& other) noexcept {
        std::swap(fd_, other.fd_);
        std::swap(unread_, other.unread_);
        std::swap(closed_, other.closed_);
        return *this;
    }
    ~RawClient() {
        if (fd_ >= 0) ::close(fd_);
    }

    void send(std::string_view bytes) const {
        while (!bytes.empty()) {
            const ssize_t count = ::send(fd_, bytes.data(), bytes.size(), MSG_NOSIGNAL);
            if (count <= 0) return;  // the server may have had enough
            bytes.remove_prefix(static_cast<std::size_t>(count));
        }
    }

    // What comes until `enough` of it holds `wanted`, the other end closes, or the time is over.
    std::string read_until(std::string_view wanted, double within_s = 3) {
        const auto end = std::chrono::steady_clock::now() + std::chrono::duration<double>(within_s);
        while (wanted.empty() || unread_.find(wanted) == std::string::npos) {
            const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(end - std::chrono::steady_clock::now()).count();
            pollfd one{fd_, POLLIN, 0};
            if (left <= 0 || ::poll(&one, 1, static_cast<int>(left)) <= 0) break;
            std::array<char, 16384> bytes{};
            const ssize_t count = ::recv(fd_, bytes.data(), bytes.size(), 0);
            if (count <= 0) {
                closed_ = true;
                break;
            }
            unread_.append(bytes.data(), static_cast<std::size_t>(count));
        }
        return unread_;
    }
    bool closed_within(double s) {
        while (!closed_) {
            const std::size_t before = unread_.size();
            read_until("", s);
            if (!closed_ && unread_.size() == before) return false;
            break;
        }
        return closed_;
    }
    void forget() { unread_.clear(); }

private:
    int fd_;
    std::string unread_;
    bool closed_ = false;
};

// A client's frame, masked with zeros. `first` is FIN and opcode: 0x81 text, 0x82 binary.
inline std::string ws_frame(std::string_view payload, unsigned char first = 0x81) {
    std::string out(1, static_cast<char>(first));
    if (payload.size() < 126) {
        out += static_cast<char>(0x80 | payload.size());
    } else if (payload.size() < 65536) {
        out += static_cast<char>(0x80 | 126);
        out += static_cast<char>(payload.size() >> 8);
        out += static_cast<char>(payload.size() & 255);
    } else {
        out += static_cast<char>(0x80 | 127);
        for (int shift = 56; shift >= 0; shift -= 8)
            out += static_cast<char>((static_cast<unsigned long long>(payload.size()) >> shift) & 255);
    }
    out.append(4, '\0');
    return out.append(payload);
}

}  // namespace halfturn::test
