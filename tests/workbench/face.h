// SPDX-License-Identifier: MIT
#pragma once

// The C face, without its memory to look after.
#include "engine/workbench/c_face.h"

#include <nlohmann/json.hpp>

#include <memory>
#include <string>
#include <vector>

namespace canebrake::test
{

struct Said {
    int fault = 0;
    std::string text;

    nlohmann::json json() const { return nlohmann::json::parse(text); }
};

inline Said said(canebrake_answer answer)
{
    Said result{answer.fault, answer.text != nullptr ? std::string(answer.text, answer.size) : std::string()};
    canebrake_free(&answer);
    return result;
}

struct CloseLine {
    void operator()(canebrake_line* line) const { canebrake_close(line); }
};
using OpenLine = std::unique_ptr<canebrake_line, CloseLine>;

struct CloseSound {
    void operator()(canebrake_sound* sound) const { canebrake_sound_close(sound); }
};
using OpenSound = std::unique_ptr<canebrake_sound, CloseSound>;

inline OpenLine open_phrase(const std::string& phrase, Said* answer = nullptr)
{
    canebrake_line* line = nullptr;
    const Said opened = said(canebrake_open_phrase(phrase.c_str(), &line));
    if (answer != nullptr)
        *answer = opened;
    return OpenLine(line);
}

inline OpenLine open_bytes(const std::string& bytes, const char* name, Said* answer = nullptr)
{
    canebrake_line* line = nullptr;
    const Said opened = said(canebrake_open(bytes.data(), bytes.size(), name, &line));
    if (answer != nullptr)
        *answer = opened;
    return OpenLine(line);
}

/// All of a sound, in blocks of this size.
inline std::vector<float> all_samples(canebrake_sound* sound, std::size_t block)
{
    std::vector<float> all, some(block);
    while (const auto got = canebrake_sound_read(sound, some.data(), block)) {
        if (got < 0)
            return {};
        all.insert(all.end(), some.begin(), some.begin() + got);
    }
    return all;
}

inline OpenSound open_sound(const OpenLine& line, const char* question, Said* answer = nullptr)
{
    canebrake_sound* sound = nullptr;
    const Said opened = said(canebrake_sound_open(line.get(), question, &sound));
    if (answer != nullptr)
        *answer = opened;
    return OpenSound(sound);
}

} // namespace canebrake::test
