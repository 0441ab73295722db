// SPDX-License-Identifier: MIT
#include "engine/score/score_view.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{

constexpr double mezzo_piano = 3.0, forte = 5.0; // on the ladder of dynamics
constexpr double touch_quarters = 0.05;          // played files let a note end a little late
constexpr std::size_t doubling_notes = 5;        // fewer are looked at with their neighbours
constexpr double doubling_share = 0.8, rest_quarters = 1.0;
constexpr int furthest_octave = 2;
constexpr std::size_t fewest_doubled = 3;
constexpr std::size_t tutti = 8, few = 3;
constexpr double a5 = 81.0;

/// In unison or octaves.
bool doubles(double one, double other)
{
    const double octaves = std::abs(one - other) / 12.0, whole = std::round(octaves);
    return whole <= furthest_octave && std::abs(octaves - whole) < 0.3 / 12.0;
}

double weight(Exposure::Kind kind)
{
    switch (kind) {
    case Exposure::alone:
        return 1.5;
    case Exposure::exposed:
        return 1.3;
    case Exposure::doubled:
        return 0.7;
    case Exposure::covered:
        return 0.5;
    default:
        return 1.0;
    }
}

std::string list_of(const std::vector<std::string>& names)
{
    const std::size_t count = names.size(), shown = count > few ? few - 1 : count;
    std::string text;
    for (std::size_t i = 0; i < shown; ++i)
        text += (i == 0 ? "" : i + 1 == count ? " and " : ", ") + names[i];
    return shown < count ? text + fmt::format(" and {} more", count - shown) : text;
}

} // namespace

std::string exposure_words(const Exposure& exposure)
{
    switch (exposure.kind) {
    case Exposure::alone:
        return "alone";
    case Exposure::exposed:
        return "exposed, with " + list_of(exposure.with);
    case Exposure::doubled:
        return "doubled by " + list_of(exposure.with);
    case Exposure::covered:
        return exposure.with.empty() ? "under the tutti" : "under the brass";
    default:
        return "";
    }
}

ScoreView::ScoreView(const Score& score)
{
    for (const Line& line : score.parts)
        voices_.push_back(voice_of(line));
}

ScoreView::Voice ScoreView::voice_of(const Line& line)
{
    const bool named = !line.part_name.empty();
    Voice voice{named ? line.part_name : line.part_id,
                named ? section_of(line.part_name) : line.part_id,
                is_brass(line),
                {}};
    std::size_t who = 0;
    for (const Note& note : line.notes) {
        if (note.grace || !(note.length_quarters > 0.0))
            continue;
        while (who + 1 < line.instruments.size() &&
               line.instruments[who + 1].start_quarter <= note.start_quarter + 1e-9)
            ++who;
        const double middle = note.start_quarter + note.length_quarters / 2.0;
        // As the player blows: a played file's velocity 80 is mf, 16 are a step.
        const double level = line.dynamics.empty() && note.velocity ? 4.0 + (*note.velocity - 80.0) / 16.0
                                                                    : dynamic_at(line.dynamics, middle);
        voice.sounds.push_back({note.start_quarter, note.start_quarter + note.length_quarters,
                                note.sounding.number, level,
                                !line.instruments.empty() && is_high_wind(line.instruments[who])});
    }
    return voice;
}

/// The sounds of a voice that share more than a touch with a stretch.
std::span<const ScoreView::Sound> ScoreView::sounding(const Voice& voice, double from, double to)
{
    const double touch = std::min(touch_quarters, (to - from) / 2.0);
    const auto first = std::partition_point(voice.sounds.begin(), voice.sounds.end(),
                                            [&](const Sound& s) { return s.end <= from + touch; });
    const auto last =
        std::partition_point(first, voice.sounds.end(), [&](const Sound& s) { return s.start < to - touch; });
    return {first, last};
}

ScoreView::Passage ScoreView::passage(std::size_t part, double from, double to) const
{
    const auto sounds = sounding(voices_.at(part), from, to);
    if (sounds.empty())
        return {};
    return {sounds, std::max(from, sounds.front().start), std::min(to, sounds.back().end)};
}

/// Who else sounds.
std::vector<std::size_t> ScoreView::others(std::size_t part, const Passage& passage) const
{
    std::vector<std::size_t> found;
    for (std::size_t i = 0; i < voices_.size(); ++i)
        if (i != part && !sounding(voices_[i], passage.from, passage.to).empty())
            found.push_back(i);
    return found;
}

/// By name; a section of one by the part's own.
std::vector<std::string> ScoreView::sections_of(const std::vector<std::size_t>& parts) const
{
    std::vector<std::string> names;
    std::vector<const std::string*> seen;
    for (const std::size_t i : parts) {
        const auto same = [&](const std::string* section) { return *section == voices_[i].section; };
        const auto found = std::find_if(seen.begin(), seen.end(), same);
        if (found != seen.end()) {
            names[std::size_t(found - seen.begin())] = voices_[i].section;
            continue;
        }
        seen.push_back(&voices_[i].section);
        names.push_back(voices_[i].name);
    }
    return names;
}

std::vector<std::string> ScoreView::doubling(std::size_t part, const Passage& passage) const
{
    // The notes asked for, and with them their neighbours until there are enough.
    const std::vector<Sound>& all = voices_[part].sounds;
    const std::size_t first = std::size_t(passage.sounds.data() - all.data());
    const std::size_t last = first + passage.sounds.size(); // one past
    std::size_t from = first, to = last;
    for (bool grown = true; grown && to - from < doubling_notes;) {
        grown = false;
        if (from > 0 && all[from].start - all[from - 1].end < rest_quarters) {
            --from;
            grown = true;
        }
        if (to - from < doubling_notes && to < all.size() &&
            all[to].start - all[to - 1].end < rest_quarters) {
            ++to;
            grown = true;
        }
    }
    std::vector<std::string> names;
    for (std::size_t i = 0; i < voices_.size(); ++i) {
        if (i == part)
            continue;
        const std::vector<Sound>& other = voices_[i].sounds;
        const auto same = [&](const Sound& sound) {
            auto found = std::partition_point(other.begin(), other.end(), [&](const Sound& s) {
                return s.start < sound.start - touch_quarters;
            });
            for (; found != other.end() && found->start <= sound.start + touch_quarters; ++found)
                if (doubles(found->pitch, sound.pitch))
                    return true;
            return false;
        };
        const auto enough = [&](std::size_t begin, std::size_t end) {
            const auto hits =
                std::count_if(all.begin() + std::ptrdiff_t(begin), all.begin() + std::ptrdiff_t(end), same);
            return double(hits) >= doubling_share * double(end - begin);
        };
        if (to - from >= fewest_doubled && enough(first, last) && enough(from, to))
            names.push_back(voices_[i].name);
    }
    return names;
}

/// Whether at least half of the passage lies under loud brass, or under a tutti: then `brass` stays empty.
bool ScoreView::covered(std::size_t part, const Passage& passage, std::vector<std::string>& brass) const
{
    struct Edge {
        double quarter;
        int own, loud, loud_brass; // what begins (1) or ends (−1) here
    };
    std::vector<Edge> edges;
    const auto add = [&](const Sound& sound, int own, int loud, int loud_brass) {
        edges.push_back({std::max(sound.start, passage.from), own, loud, loud_brass});
        edges.push_back({std::min(sound.end, passage.to), -own, -loud, -loud_brass});
    };
    for (const Sound& sound : passage.sounds)
        add(sound, 1, 0, 0);
    std::vector<std::string> loud_names;
    for (std::size_t i = 0; i < voices_.size(); ++i) {
        if (i == part)
            continue;
        bool loud = false;
        for (const Sound& sound : sounding(voices_[i], passage.from, passage.to))
            if (sound.level >= forte) {
                add(sound, 0, 1, voices_[i].brass);
                loud = true;
            }
        if (loud && voices_[i].brass)
            loud_names.push_back(voices_[i].name);
    }
    std::sort(edges.begin(), edges.end(), [](const Edge& a, const Edge& b) { return a.quarter < b.quarter; });
    double own_time = 0.0, brass_time = 0.0, covered_time = 0.0, before = passage.from;
    int own = 0, loud = 0, loud_brass = 0;
    for (const Edge& edge : edges) {
        const double length = own > 0 ? edge.quarter - before : 0.0;
        own_time += length;
        brass_time += loud_brass > 0 ? length : 0.0;
        covered_time += loud_brass > 0 || loud >= int(tutti) ? length : 0.0;
        own += edge.own;
        loud += edge.loud;
        loud_brass += edge.loud_brass;
        before = edge.quarter;
    }
    if (brass_time >= own_time / 2.0)
        brass = loud_names;
    return covered_time >= own_time / 2.0;
}

Exposure ScoreView::exposure(std::size_t part, double from_quarter, double to_quarter) const
{
    Exposure exposure;
    const Passage here = passage(part, from_quarter, to_quarter);
    const auto sounds_somewhere = [&](const Voice& v) { return !v.sounds.empty(); };
    if (here.sounds.empty() || std::count_if(voices_.begin(), voices_.end(), sounds_somewhere) < 2)
        return exposure;
    const std::vector<std::size_t> with = others(part, here);
    const auto soft = [&](std::size_t i) {
        const auto sounds = sounding(voices_[i], here.from, here.to);
        return std::all_of(sounds.begin(), sounds.end(),
                           [](const Sound& s) { return s.level < mezzo_piano; });
    };
    if (with.empty()) {
        exposure.kind = Exposure::alone;
    } else if (covered(part, here, exposure.with)) {
        exposure.kind = Exposure::covered;
    } else if (exposure.with = doubling(part, here); !exposure.with.empty()) {
        exposure.kind = Exposure::doubled;
    } else if (std::all_of(with.begin(), with.end(), soft)) {
        const std::vector<std::string> sections = sections_of(with);
        if (sections.size() <= few) {
            exposure.kind = Exposure::exposed;
            exposure.with = sections;
        }
    }
    exposure.weight = weight(exposure.kind);
    return exposure;
}

std::vector<std::string> ScoreView::high_winds_in_unison(std::size_t part, double from_quarter,
                                                         double to_quarter) const
{
    std::vector<std::string> names;
    for (std::size_t i = 0; i < voices_.size(); ++i) {
        if (i == part)
            continue;
        const auto in_unison = [&](const Sound& own) {
            if (own.pitch <= a5)
                return false;
            double shared = 0.0;
            for (const Sound& sound : sounding(voices_[i], own.start, own.end))
                if (sound.high_wind && std::abs(sound.pitch - own.pitch) < 0.5)
                    shared += std::min(sound.end, own.end) - std::max(sound.start, own.start);
            return shared >= (own.end - own.start) / 2.0;
        };
        const auto sounds = sounding(voices_.at(part), from_quarter, to_quarter);
        if (std::any_of(sounds.begin(), sounds.end(), in_unison))
            names.push_back(voices_[i].name);
    }
    return names;
}

} // namespace canebrake
