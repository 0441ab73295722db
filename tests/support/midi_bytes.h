// SPDX-License-Identifier: MIT
#pragma once

#include <cstdint>
#include <initializer_list>
#include <string>
#include <string_view>

namespace canebrake::test
{

/// Bytes written as numbers, for MIDI files made in a test.
inline std::string bytes(std::initializer_list<int> values)
{
    std::string s;
    for (const int v : values)
        s += char(v);
    return s;
}

inline std::string big_endian(std::uint32_t value, int count)
{
    std::string s;
    for (int shift = 8 * (count - 1); shift >= 0; shift -= 8)
        s += char(value >> shift & 0xFF);
    return s;
}

inline std::string chunk(std::string_view id, std::string_view data)
{
    return std::string(id) + big_endian(std::uint32_t(data.size()), 4) + std::string(data);
}

inline std::string header(int format, int tracks, int division)
{
    return chunk("MThd", big_endian(format, 2) + big_endian(tracks, 2) + big_endian(division, 2));
}

/// A track chunk with its End of Track.
inline std::string track(std::string_view messages)
{
    return chunk("MTrk", std::string(messages) + bytes({0, 0xFF, 0x2F, 0}));
}

/// A variable-length number (Standard MIDI Files 1.0: seven bits a byte, the last without its top bit).
inline std::string delta(std::uint32_t ticks)
{
    std::string s(1, char(ticks & 0x7F));
    for (ticks >>= 7; ticks > 0; ticks >>= 7)
        s.insert(s.begin(), char(0x80 | (ticks & 0x7F)));
    return s;
}

inline std::string message(std::uint32_t after, std::initializer_list<int> values)
{
    return delta(after) + bytes(values);
}

inline std::string meta(std::uint32_t after, int type, std::string_view text)
{
    return delta(after) + bytes({0xFF, type}) + delta(std::uint32_t(text.size())) + std::string(text);
}

/// A note on channel `channel` (0-based) that begins `after` ticks and lasts `ticks`.
inline std::string note(std::uint32_t after, int key, std::uint32_t ticks, int channel = 0, int velocity = 80)
{
    return message(after, {0x90 | channel, key, velocity}) + message(ticks, {0x80 | channel, key, 64});
}

} // namespace canebrake::test
