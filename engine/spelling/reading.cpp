// SPDX-License-Identifier: MIT
#include "engine/spelling/reading.h"

#include "engine/spelling/key.h"
#include "engine/spelling/spell.h"

#include <algorithm>
#include <cstdlib>

namespace canebrake
{

namespace
{

/// The printed notes with what every rule asks of them. What an ornament was written out into is not on the
/// page.
struct Page {
    explicit Page(const Line& of) : line(of)
    {
        for (std::size_t i = 0; i < line.notes.size(); ++i) {
            const Note& note = line.notes[i];
            if (note.figure && note.figure->role != 0)
                continue;
            printed.push_back(i);
            places.push_back(fifths_of(printed_name(note)));
            keys.push_back(key_at(line.keys, note.start_quarter));
        }
    }
    std::size_t size() const { return printed.size(); }
    const Note& note(std::size_t i) const { return line.notes[printed[i]]; }
    int bar(std::size_t i) const { return note(i).source.bar_index; }
    std::string name(std::size_t i) const { return spelled_name(note(i).printed, printed_name(note(i))); }
    /// Whether a note follows the one before without a rest.
    bool joined(std::size_t i) const
    {
        return i > 0 && i < size() &&
               note(i).start_quarter - note(i - 1).start_quarter - note(i - 1).length_quarters < 0.01;
    }

    const Line& line;
    std::vector<std::size_t> printed; // indices into the line
    std::vector<int> places, keys;    // on the line of fifths; signature in force
};

// ---- double accidentals

bool is_double(const Page& page, std::size_t i)
{
    return std::abs(page.note(i).printed_alter) >= 2;
}

/// A double sharp that leads in a key of many accidentals: to the tonic of its minor key, or on the spot, the
/// next note of another pitch being the next letter a semitone up.
bool leading(const Page& page, std::size_t i)
{
    if (page.note(i).printed_alter != 2 || std::abs(page.keys[i]) < 5)
        return false;
    if (proper_double_sharp(page.places[i], page.keys[i]))
        return true;
    std::size_t next = i + 1;
    while (next < page.size() && page.note(next).printed == page.note(i).printed)
        ++next;
    return next < page.size() && page.note(next).printed == page.note(i).printed + 1 &&
           page.places[next] == page.places[i] - 5;
}

std::string times(int count, const std::string& one, const std::string& many)
{
    return count == 1 ? one : std::to_string(count) + " " + many;
}

void find_doubles(const Page& page, std::vector<ReadingFinding>& findings)
{
    ReadingFinding* open = nullptr;
    std::string first_name;
    for (std::size_t i = 0; i < page.size(); ++i) {
        if (!is_double(page, i) || leading(page, i))
            continue;
        if (open == nullptr || page.bar(i) > page.bar(open->to) + 1) {
            first_name = page.name(i);
            findings.push_back({i, i, Grade::awkward, ReadingFinding::double_accidental, "", 0});
            open = &findings.back();
        }
        open->to = i;
        ++open->count;
        const Note& note = page.note(i);
        if (open->count == 1) {
            const bool sharp = note.printed_alter > 0;
            const NoteName plain{note.printed_step + (sharp ? 1 : -1), 0};
            const int rest = positive_mod(note.printed - 7 * fifths_of(plain), 12);
            open->detail = first_name + " is a double accidental for " +
                           spelled_name(note.printed, {plain.step, rest == 0   ? 0
                                                                   : rest == 1 ? 1
                                                                               : -1});
        } else {
            open->detail = times(open->count, "", "double accidentals, the first ") + first_name;
        }
    }
}

// ---- remote keys

void find_remote_keys(const Page& page, std::vector<ReadingFinding>& findings)
{
    for (std::size_t i = 0; i < page.size();) {
        std::size_t end = i;
        int leading_notes = 0;
        for (; end < page.size() && page.keys[end] == page.keys[i]; ++end)
            leading_notes += is_double(page, end) && leading(page, end);
        if (std::abs(page.keys[i]) > 5) {
            std::string detail = "the signature has " + signature_words(page.keys[i]);
            if (leading_notes > 0)
                detail +=
                    ", and " + times(leading_notes, "a double sharp", "double sharps") + " for leading notes";
            findings.push_back(
                {i, end - 1, Grade::awkward, ReadingFinding::remote_key, detail, int(end - i)});
        }
        i = end;
    }
}

// ---- misspelt chromatics

bool near_in_sound(int semitones)
{
    return semitones != 0 && std::abs(semitones) <= 4;
}
bool plain(int apart)
{
    return std::abs(apart) <= 5;
}
bool strange(int apart)
{
    return std::abs(apart) >= 7;
}

/// The way to its other name, if that is plain beside both neighbours and no stranger itself (E♯, B♯, C♭, F♭
/// outside their keys, or a double accidental); else 0.
int better_shift(const Page& page, std::size_t i)
{
    for (const int shift : {-12, 12}) {
        const int place = page.places[i] + shift;
        const bool stranger = place < -6 || place > 10;
        if ((!stranger || in_signature(place, page.keys[i])) && std::abs(name_at(place).alter) <= 1 &&
            plain(page.places[i - 1] - place) && plain(page.places[i + 1] - place))
            return shift;
    }
    return 0;
}

/// Written as augmented or diminished to both neighbours, where its other name would be plain to both.
bool misspelt(const Page& page, std::size_t i)
{
    if (!page.joined(i) || !page.joined(i + 1) || in_signature(page.places[i], page.keys[i]) ||
        is_double(page, i))
        return false;
    const int before = page.note(i).printed - page.note(i - 1).printed;
    const int after = page.note(i + 1).printed - page.note(i).printed;
    return near_in_sound(before) && near_in_sound(after) && strange(page.places[i] - page.places[i - 1]) &&
           strange(page.places[i + 1] - page.places[i]) && better_shift(page, i) != 0;
}

/// One pitch under two names in a row.
bool renamed(const Page& page, std::size_t i)
{
    return page.joined(i) && page.note(i).printed == page.note(i - 1).printed &&
           page.places[i] != page.places[i - 1] && page.keys[i] == page.keys[i - 1] && !is_double(page, i) &&
           !is_double(page, i - 1); // those have a finding of their own
}

/// Whether the pitch of `i` stands under another name in the run of joined notes about it, in its key.
bool mixed_in_run(const Page& page, std::size_t i)
{
    const auto other_name = [&](std::size_t k) {
        return positive_mod(page.note(k).printed - page.note(i).printed, 12) == 0 &&
               page.places[k] != page.places[i] && page.keys[k] == page.keys[i];
    };
    // A run is what the eye takes in at once: joined notes in the bar and its neighbours.
    for (std::size_t k = i; page.joined(k) && page.bar(k - 1) >= page.bar(i) - 1; --k)
        if (other_name(k - 1))
            return true;
    for (std::size_t k = i + 1; page.joined(k) && page.bar(k) <= page.bar(i) + 1; ++k)
        if (other_name(k))
            return true;
    return false;
}

std::string misspelt_sentence(const Page& page, std::size_t i, int count)
{
    const std::string more = count > 1 ? " (and " + times(count - 1, "one more", "more") + ")" : "";
    if (renamed(page, i))
        return page.name(i - 1) + " and " + page.name(i) + " are one pitch under two names" + more;
    const NoteName better = name_at(page.places[i] + better_shift(page, i));
    return page.name(i) + " between " + page.name(i - 1) + " and " + page.name(i + 1) +
           " would read plainly as " + spelled_name(page.note(i).printed, better) + more;
}

void find_misspelt(const Page& page, std::vector<ReadingFinding>& findings)
{
    for (std::size_t i = 0; i < page.size();) {
        std::vector<std::size_t> wrong;
        bool mixes = false;
        std::size_t end = i;
        for (; end < page.size() && page.bar(end) == page.bar(i); ++end) {
            const bool two_names = renamed(page, end);
            if (!two_names && !misspelt(page, end))
                continue;
            wrong.push_back(end);
            mixes = mixes || two_names || mixed_in_run(page, end);
        }
        if (wrong.size() >= 3 || mixes) {
            const std::size_t first = wrong.front() - (renamed(page, wrong.front()) ? 1 : 0);
            findings.push_back({first, wrong.back(), Grade::awkward, ReadingFinding::misspelt_chromatic,
                                misspelt_sentence(page, wrong.front(), int(wrong.size())),
                                int(wrong.size())});
        }
        i = end;
    }
}

} // namespace

std::vector<ReadingFinding> hard_to_read(const Line& line)
{
    const Page page(line);
    std::vector<ReadingFinding> findings;
    find_remote_keys(page, findings);
    find_doubles(page, findings);
    find_misspelt(page, findings);
    for (ReadingFinding& finding : findings) {
        finding.from = page.printed[finding.from];
        finding.to = page.printed[finding.to];
    }
    std::stable_sort(findings.begin(), findings.end(),
                     [](const ReadingFinding& a, const ReadingFinding& b) { return a.from < b.from; });
    return findings;
}

} // namespace canebrake
