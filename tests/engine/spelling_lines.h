// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "engine/spelling/fifths.h"

#include <cstdlib>
#include <filesystem>
#include <sstream>
#include <string>

namespace canebrake::test
{

/// "F#4", "Bb3", "C##5", "Dbb4": as it is printed.
inline Note named_note(const std::string& text)
{
    static const std::string letters = "CDEFGAB";
    constexpr int natural[] = {0, 2, 4, 5, 7, 9, 11};
    Note note;
    note.printed_step = int(letters.find(text[0]));
    for (const char c : text.substr(1, text.size() - 2))
        note.printed_alter += c == '#' ? 1 : -1; // "B#3" sounds C4: the octave is the letter's
    note.printed = 12 * (text.back() - '0' + 1) + natural[note.printed_step] + note.printed_alter;
    note.sounding.number = note.printed;
    return note;
}

/// Quarters one after the other in 4/4, in a key; "|" is a bar line, "-" a quarter's rest. `transposition`:
/// sounding minus printed.
inline Line printed_line(const std::string& names, int fifths = 0, int transposition = 0)
{
    Line line;
    line.written_known = true;
    line.keys = {{0.0, fifths}};
    line.bars.push_back({"1", 0.0, 4.0, 4, 4, {}});
    std::istringstream words(names);
    double at = 0.0;
    for (std::string word; words >> word;) {
        if (word == "|") {
            line.bars.push_back({std::to_string(line.bars.size() + 1), at, 4.0, 4, 4, {}});
            continue;
        }
        if (word != "-") {
            Note note = named_note(word);
            note.start_quarter = at;
            note.sounding.number += transposition;
            note.source.bar_index = int(line.bars.size()) - 1;
            note.source.bar = line.bars.back().number;
            line.notes.push_back(note);
        }
        at += 1.0;
    }
    line.end_quarter = at;
    return line;
}

/// The names as they are printed, without octaves: "F# Bb C##".
inline std::string names_of(const Line& line)
{
    std::string text;
    for (const Note& note : line.notes) {
        text += (text.empty() ? "" : " ") + std::string(1, "CDEFGAB"[note.printed_step]);
        text += std::string(std::size_t(std::abs(note.printed_alter)), note.printed_alter > 0 ? '#' : 'b');
    }
    return text;
}

inline std::filesystem::path shared_scores()
{
    const char* folder = std::getenv("CANEBRAKE_SHARED");
    return (folder ? std::filesystem::path(folder)
                   : std::filesystem::path(__FILE__).parent_path() / "../../../shared") /
           "scores";
}

} // namespace canebrake::test
