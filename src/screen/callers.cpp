#include "screen/callers.hpp"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <sys/random.h>

#include <algorithm>
#include <array>

#include "core/failure.hpp"

namespace halfturn::screen {

Callers::Callers(const std::vector<std::string>& names, unsigned short port) {
    for (const auto& name : names) hosts_.push_back(name + ":" + std::to_string(port));
}

bool Callers::host_is_ours(std::string_view host) const { return std::find(hosts_.begin(), hosts_.end(), host) != hosts_.end(); }

bool Callers::origin_fits(std::string_view origin, std::string_view host) const {
    constexpr std::string_view scheme = "http://";
    return host_is_ours(host) && origin.starts_with(scheme) && origin.substr(scheme.size()) == host;
}

std::vector<std::string> addresses_of_this_machine() {
    std::vector<std::string> out;
    ifaddrs* all = nullptr;
    if (::getifaddrs(&all) != 0) return out;
    for (const ifaddrs* one = all; one; one = one->ifa_next) {
        if (!one->ifa_addr || one->ifa_addr->sa_family != AF_INET || (one->ifa_flags & IFF_LOOPBACK) ||
            !(one->ifa_flags & IFF_UP))
            continue;
        std::array<char, INET_ADDRSTRLEN> text{};
        const void* address = &reinterpret_cast<const sockaddr_in*>(one->ifa_addr)->sin_addr;
        if (::inet_ntop(AF_INET, address, text.data(), text.size())) out.emplace_back(text.data());
    }
    ::freeifaddrs(all);
    return out;
}

std::string random_key(std::size_t bytes) {
    constexpr std::string_view digits = "0123456789abcdef";
    std::string raw(bytes, '\0'), out;
    if (::getrandom(raw.data(), raw.size(), 0) != static_cast<ssize_t>(raw.size()))
        throw Failure("the system gave no random bytes for the page's key");
    for (const char c : raw) {
        const auto byte = static_cast<unsigned char>(c);
        out += digits[byte >> 4];
        out += digits[byte & 15];
    }
    return out;
}

}  // namespace halfturn::screen
