// Counts allocations; see the header.
#include "tests/property/laws_allocations.hpp"

#include <cstdlib>
#include <new>

namespace {
std::uint64_t allocations = 0;
}

std::uint64_t freshet::laws::allocations_so_far() {
    return allocations;
}

void* operator new(std::size_t size) {
    ++allocations;
    void* const memory = std::malloc(size == 0 ? 1 : size);
    if (memory == nullptr) std::abort();
    return memory;
}
void* operator new[](std::size_t size) {
    return operator new(size);
}
void operator delete(void* memory) noexcept {
    std::free(memory);
}
void operator delete[](void* memory) noexcept {
    std::free(memory);
}
void operator delete(void* memory, std::size_t) noexcept {
    std::free(memory);
}
void operator delete[](void* memory, std::size_t) noexcept {
    std::free(memory);
}
