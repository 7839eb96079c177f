// What a statically linked halfturn has in place of the C library's ways to load code while it runs: SQLite's extensions and the
// look-up of host names, neither of which it uses. They would need the very C library it was built with, and a program that
// can't load code can't be made to.
#include <dlfcn.h>
#include <netdb.h>

extern "C" {

void* dlopen(const char*, int) noexcept { return nullptr; }
void* dlsym(void*, const char*) noexcept { return nullptr; }
int dlclose(void*) noexcept { return 0; }
char* dlerror() noexcept {
    static char text[] = "halfturn loads no code";
    return text;
}

int getaddrinfo(const char*, const char*, const addrinfo*, addrinfo** found) {
    *found = nullptr;
    return EAI_FAIL;
}
void freeaddrinfo(addrinfo*) noexcept {}

// The compiler's start-up file tells the unwinder where all frames are, and it would sort them at the first exception, which takes
// longer than a command runs. Left untold it looks in the table that the linker sorted (--eh-frame-hdr).
void __wrap___register_frame_info(const void*, void*) noexcept {}
void* __wrap___deregister_frame_info(const void*) noexcept { return nullptr; }

}  // extern "C"
