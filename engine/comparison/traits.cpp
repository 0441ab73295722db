// SPDX-License-Identifier: MIT
#include "engine/comparison/traits.h"

#include "engine/spots/ear.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace canebrake
{
namespace
{

using namespace trait_limits;

double median(std::vector<double> values)
{
    const auto middle = values.begin() + std::ptrdiff_t(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// The figure of a note's neighbours at one dynamic, its own left out.
template <class Get>
std::vector<double> neighbours(const ToneMap& map, std::size_t note, std::size_t level, Get get)
{
    std::vector<double> values;
    for (std::size_t i = 0; i < map.notes.size(); ++i) {
        const int away = std::abs(map.notes[i].written.number - map.notes[note].written.number);
        if (away == 0 || away > neighbours_within || map.notes[i].cells.empty())
            continue;
        const ToneMeasure& heard = map.notes[i].cells[level].heard;
        if (heard.note.in_register)
            values.push_back(get(heard));
    }
    return values;
}

void among_neighbours(const ToneMap& map, std::size_t note, std::size_t level, std::vector<Trait>& traits)
{
    const ToneMeasure& heard = map.notes[note].cells[level].heard;
    if (!heard.note.in_register)
        return;
    const auto brightness =
        neighbours(map, note, level, [](const ToneMeasure& m) { return m.tone.centroid_hz; });
    if (brightness.size() < fewest_neighbours)
        return;
    const double ratio = heard.tone.centroid_hz / median(brightness);
    if (ratio >= tone_ratio)
        traits.push_back(Trait::bright);
    if (ratio <= 1.0 / tone_ratio)
        traits.push_back(Trait::dull);
    const double step =
        heard.note.level_db -
        median(neighbours(map, note, level, [](const ToneMeasure& m) { return m.note.level_db; }));
    if (step >= level_step_db)
        traits.push_back(Trait::strong);
    if (step <= -level_step_db)
        traits.push_back(Trait::weak);
}

/// One direction of a difference, in words.
struct Spoken {
    double size = 0.0; ///< 1: worth a word
    std::string text;
};

Spoken spoken(double value, double unit, const char* more, const char* less)
{
    const double size = std::abs(value) / unit;
    const char* how = size >= 3.0 ? "much " : size < 1.0 ? "a shade " : "";
    return {size, how + std::string(value > 0.0 ? more : less)};
}

} // namespace

const char* word(Trait trait)
{
    switch (trait) {
    case Trait::unsettled:
        return "not in register";
    case Trait::late:
        return "late";
    case Trait::sharp:
        return "sharp";
    case Trait::flat:
        return "flat";
    case Trait::pulls_sharp:
        return "pulls sharp";
    case Trait::pulls_flat:
        return "pulls flat";
    case Trait::dull:
        return "dull";
    case Trait::bright:
        return "bright";
    case Trait::thin:
        return "thin";
    case Trait::weak:
        return "weak";
    case Trait::strong:
        return "strong";
    case Trait::breathy:
        return "breathy";
    }
    return "";
}

std::vector<Trait> traits_of(const ToneMeasure& heard, double level, double late_ms)
{
    if (!heard.note.in_register)
        return {Trait::unsettled};
    std::vector<Trait> traits;
    if (1e3 * heard.note.speaking_s > late_ms)
        traits.push_back(Trait::late);
    if (heard.note.cents >= sharp_cents)
        traits.push_back(Trait::sharp);
    if (heard.note.cents <= -sharp_cents)
        traits.push_back(Trait::flat);
    if (heard.tone.fundamental_share_db >= thin_share_db && level >= thin_from_level)
        traits.push_back(Trait::thin);
    if (heard.tone.noise_db >= breathy_db)
        traits.push_back(Trait::breathy);
    return traits;
}

std::vector<std::vector<std::vector<Trait>>> traits_of(const ToneMap& map)
{
    std::vector<std::vector<std::vector<Trait>>> all(map.notes.size());
    for (std::size_t note = 0; note < map.notes.size(); ++note)
        for (std::size_t level = 0; level < map.notes[note].cells.size(); ++level) {
            const ToneCell& cell = map.notes[note].cells[level];
            auto traits = traits_of(cell.heard, cell.level, late_speech_ms(*map.instrument));
            among_neighbours(map, note, level, traits);
            if (cell.heard.note.in_register && map.player != Player::ideal) {
                const auto say = [&](Trait pulls, Trait played) { // once is enough
                    if (std::find(traits.begin(), traits.end(), played) == traits.end())
                        traits.push_back(pulls);
                };
                if (cell.before_lip_cents >= pulls_cents)
                    say(Trait::pulls_sharp, Trait::sharp);
                if (cell.before_lip_cents <= -pulls_cents)
                    say(Trait::pulls_flat, Trait::flat);
            }
            all[note].push_back(std::move(traits));
        }
    return all;
}

std::vector<std::string> words_of(const ToneDifference& d, double least)
{
    std::vector<Spoken> all;
    const auto say = [&](const std::optional<double>& value, double unit, const char* more,
                         const char* less) {
        if (value)
            all.push_back(spoken(*value, unit, more, less));
    };
    const auto tone = d.centroid_ratio ? std::optional(std::log(*d.centroid_ratio)) : std::nullopt;
    say(tone, std::log(1.1), "brighter", "darker");
    say(d.loudness_lu, 2.0, "louder", "softer");
    say(d.cents, 5.0, "sharper", "flatter");
    say(d.speaking_ms, 30.0, "later", "sooner");
    say(d.odd_over_even_db, 4.0, "hollower", "fuller");
    std::stable_sort(all.begin(), all.end(),
                     [](const Spoken& a, const Spoken& b) { return a.size > b.size; });
    std::vector<std::string> words;
    for (const Spoken& one : all)
        if (one.size >= least)
            words.push_back(one.text);
    return words;
}

} // namespace canebrake
