// Who may talk to the server: the exact list of Host values, and of Origins that go with them. A page of some other site
// that the same browser shows can reach the loopback address too; what it can't do is name itself as ours.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace halfturn::screen {

class Callers {
public:
    // Names: "127.0.0.1", "localhost", "[::1]", and this machine's addresses when others may look on.
    Callers(const std::vector<std::string>& names, unsigned short port);

    // `host` is the Host field, empty when missing.
    bool host_is_ours(std::string_view host) const;
    // `origin` must be http:// and exactly that host.
    bool origin_fits(std::string_view origin, std::string_view host) const;

private:
    std::vector<std::string> hosts_;
};

// This machine's own IPv4 addresses besides loopback.
std::vector<std::string> addresses_of_this_machine();

// `bytes` random bytes as hexadecimal text. Throws Failure when the system gives none.
std::string random_key(std::size_t bytes = 16);

}  // namespace halfturn::screen
