// SPDX-License-Identifier: MIT
#include "engine/listening/tone.h"
#include "engine/listening/balance.h"
#include "engine/listening/note_ends.h"
#include "engine/listening/projection.h"
#include "engine/listening/spectrum.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace listening
{

std::optional<double> odd_over_even(std::span<const double> level_db)
{
    if (level_db.size() < 5)
        return std::nullopt;
    return (level_db[0] + level_db[2] + level_db[4]) / 3.0 - (level_db[1] + level_db[3]) / 2.0;
}

std::optional<double> even_over_neighbours(std::span<const double> level_db, double fundamental_hz, Band band)
{
    double sum = 0.0, count = 0.0;
    for (std::size_t i = 1; i + 1 < level_db.size(); i += 2)
        if (const double hz = double(i + 1) * fundamental_hz; hz >= band.from_hz && hz < band.to_hz) {
            sum += level_db[i] - 0.5 * (level_db[i - 1] + level_db[i + 1]);
            count += 1.0;
        }
    return count > 0.0 ? std::optional(sum / count) : std::nullopt;
}

double fundamental_share(std::span<const double> level_db)
{
    double all = 0.0; // re the energy of the first
    for (const double level : level_db)
        all += std::pow(10.0, (level - level_db[0]) / 10.0);
    return -10.0 * std::log10(all);
}

} // namespace listening

namespace
{
constexpr double listened_to_hz = 10000.0; // as for the centroid

bool all_numbers(std::span<const float> audio)
{
    return std::isfinite(listening::mean_square(audio));
}

/// `sounding_hz`: known to a few cents.
Tone tone_at(std::span<const float> steady, SampleRate rate, double sounding_hz)
{
    Tone tone;
    const int wanted = std::max(int(tone_harmonics), int(listened_to_hz / sounding_hz));
    const Harmonics heard = listening::harmonics_at(steady, rate, sounding_hz, wanted);
    const double f = heard.fundamental_hz;
    if (f <= 0.0)
        return tone;
    const auto there = std::size_t(std::ceil(0.5 * rate.value / f)) - 1; // under half the rate
    const auto levels = std::span(heard.level_db).first(std::min(heard.level_db.size(), there));
    if (levels.empty())
        return tone;
    tone.fundamental_hz = f;
    for (std::size_t i = 0; i < std::min(levels.size(), tone_harmonics); ++i)
        tone.harmonic_db[i] = levels[i];
    tone.odd_over_even_db = listening::odd_over_even(levels);
    for (std::size_t i = 0; i < even_bands.size(); ++i)
        tone.even_over_neighbours_db[i] = listening::even_over_neighbours(levels, f, even_bands[i]);
    tone.fundamental_share_db = listening::fundamental_share(levels);
    tone.centroid_hz = heard.centroid_hz;
    tone.noise_db = heard.noise_db;
    tone.loudness_lkfs = loudness_lkfs(steady, rate);
    return tone;
}
} // namespace

Tone tone_of(std::span<const float> steady, SampleRate rate, double near_hz)
{
    const double f = all_numbers(steady) ? settled_frequency(steady, rate, near_hz) : 0.0;
    return f > 0.0 ? tone_at(steady, rate, f) : Tone{};
}

ToneMeasure measure_tone(std::span<const float> audio, SampleRate rate, double target_hz)
{
    ToneMeasure measure;
    measure.note.speaking_s = double(audio.size()) / rate.value; // never
    if (!all_numbers(audio))
        return measure;
    measure.note = measure_note(audio, rate, target_hz);
    if (measure.note.settled_hz > 0.0) {
        const auto where = listening::settled_stretch(audio.size(), rate);
        const auto steady = audio.subspan(where.start, where.end - where.start);
        measure.tone = tone_at(steady, rate, measure.note.settled_hz);
    }
    return measure;
}

} // namespace canebrake
