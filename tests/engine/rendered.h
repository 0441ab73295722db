// SPDX-License-Identifier: MIT
#pragma once

// Typed phrases, rendered on the B♭ soprano: what the sound tests listen to.
#include "engine/files/phrase/read_phrase.h"
#include "engine/listening/listening.h"
#include "engine/part/choose_part.h"
#include "engine/part/pitch_basis.h"
#include "engine/rendering/rendering.h"

#include <algorithm>
#include <span>
#include <string>
#include <vector>

namespace canebrake
{

inline constexpr double output_rate = 48000.0;

inline Line line_of(const std::string& phrase)
{
    Line line = choose_part(read_phrase(phrase), "");
    set_pitch_basis(line, PitchBasis::written, b_flat_soprano().transposition);
    return line;
}

inline RenderSettings settings_of(Player player, std::uint64_t seed = 1)
{
    RenderSettings settings;
    settings.player = player;
    settings.seed = seed;
    return settings;
}

struct Rendered {
    std::vector<float> audio;
    std::vector<PlannedNote> notes;
    std::vector<std::string> remarks;

    std::span<const float> between(double from_s, double to_s) const
    {
        const auto at = [this](double t) {
            return std::min(audio.size(), std::size_t(std::max(0.0, t) * output_rate));
        };
        return std::span(audio).subspan(at(from_s), at(to_s) - at(from_s));
    }
    std::span<const float> note(std::size_t i) const { return between(notes[i].start_s, notes[i].end_s); }
    NoteMeasure measure(std::size_t i) const
    {
        return measure_note(note(i), {output_rate}, notes[i].target_hz);
    }
};

inline Rendered rendered(const Line& line, const RenderSettings& settings)
{
    Rendering rendering(b_flat_soprano(), line, settings);
    Rendered result{std::vector<float>(rendering.total_samples()), rendering.notes(), rendering.remarks()};
    rendering.process(result.audio);
    return result;
}
inline Rendered rendered(const std::string& phrase, const RenderSettings& settings = {})
{
    return rendered(line_of(phrase), settings);
}

/// One tongued note of a second, from silence.
inline Rendered one_note(int written, const std::string& dynamic, const RenderSettings& settings = {})
{
    return rendered("tempo 60 " + dynamic + " 1/4 " + pitch_name(written), settings);
}

inline float largest(std::span<const float> audio)
{
    float peak = 0.0f;
    for (const float x : audio)
        peak = std::max(peak, std::abs(x));
    return peak;
}

inline double median(std::vector<double> values)
{
    std::sort(values.begin(), values.end());
    return values[values.size() / 2];
}

} // namespace canebrake
