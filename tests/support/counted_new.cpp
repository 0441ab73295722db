// SPDX-License-Identifier: MIT
// Every allocation of the program it is linked into, counted, thread by thread.
#include "tests/support/counted_new.h"

#include <cstdlib>
#include <new>

namespace
{

thread_local std::uint64_t count = 0;

void* counted(std::size_t size)
{
    ++count;
    if (void* const there = std::malloc(size == 0 ? 1 : size))
        return there;
    throw std::bad_alloc();
}

void* counted(std::size_t size, std::align_val_t align)
{
    ++count;
    const auto a = std::size_t(align);
    if (void* const there = std::aligned_alloc(a, (size + a - 1) / a * a))
        return there;
    throw std::bad_alloc();
}

} // namespace

namespace canebrake
{

std::uint64_t allocations_here() noexcept
{
    return count;
}

} // namespace canebrake

void* operator new(std::size_t size)
{
    return counted(size);
}
void* operator new[](std::size_t size)
{
    return counted(size);
}
void* operator new(std::size_t size, std::align_val_t align)
{
    return counted(size, align);
}
void* operator new[](std::size_t size, std::align_val_t align)
{
    return counted(size, align);
}
void* operator new(std::size_t size, const std::nothrow_t&) noexcept
{
    ++count;
    return std::malloc(size == 0 ? 1 : size);
}
void* operator new[](std::size_t size, const std::nothrow_t&) noexcept
{
    ++count;
    return std::malloc(size == 0 ? 1 : size);
}
void operator delete(void* there) noexcept
{
    std::free(there);
}
void operator delete[](void* there) noexcept
{
    std::free(there);
}
void operator delete(void* there, std::size_t) noexcept
{
    std::free(there);
}
void operator delete[](void* there, std::size_t) noexcept
{
    std::free(there);
}
void operator delete(void* there, std::align_val_t) noexcept
{
    std::free(there);
}
void operator delete[](void* there, std::align_val_t) noexcept
{
    std::free(there);
}
void operator delete(void* there, std::size_t, std::align_val_t) noexcept
{
    std::free(there);
}
void operator delete[](void* there, std::size_t, std::align_val_t) noexcept
{
    std::free(there);
}
