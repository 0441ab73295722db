// SPDX-License-Identifier: MIT
// canebrake_tracks IN.wav PREFIX [TRANSPOSITION] [A4]
// Turns a WAV into text that assets/pictures/*.gp draw: PREFIX.track.txt (seconds, written pitch number,
// level in dB re full scale), PREFIX.spectrogram.txt (a matrix with its axes) and PREFIX.values.gp (what the
// axes need). TRANSPOSITION: semitones from written to sounding, −2 (B-flat soprano) unless told.
#include "cli/audio/audio_file.h"
#include "engine/listening/listening.h"
#include "engine/listening/spectrogram.h"
#include "models/units/input_error.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iomanip>
#include <string>

using namespace canebrake;

namespace
{
constexpr double level_window_s = 0.030;
constexpr double quietest_db = -70.0; // a picture of silence is not turned up further

std::ofstream open(const std::string& path)
{
    std::ofstream file(path);
    if (!file)
        throw InputError("cannot write " + path, Fault::unwritable);
    file << std::fixed << std::setprecision(4);
    return file;
}

void write_pictures(const Audio& audio, const std::string& prefix, double transposition, double a4_hz)
{
    const double seconds = double(audio.samples.size()) / audio.rate.value;
    TrackOptions options;
    options.window_s = level_window_s;
    options.hop_s = std::max(0.004, seconds / 3000.0); // no more points than a picture can show
    const auto frames = track(audio.samples, audio.rate, options);
    const auto picture = spectrogram(audio.samples, audio.rate);

    double loudest_db = -120.0;
    std::vector<double> heights;
    auto lines = open(prefix + ".track.txt");
    lines << "# seconds written level_db\n";
    for (const auto& frame : frames)
        loudest_db = std::max(loudest_db, frame.level_db);
    for (const auto& frame : frames) {
        lines << frame.time_s << ' ';
        if (frame.frequency_hz > 0.0 && frame.level_db > loudest_db - 45.0) {
            heights.push_back(69.0 + 12.0 * std::log2(frame.frequency_hz / a4_hz) - transposition);
            lines << heights.back();
        } else {
            lines << "NaN";
        }
        lines << ' ' << frame.level_db << '\n';
    }
    std::sort(heights.begin(), heights.end());
    const auto share = [&](double part) {
        return heights.empty() ? 72.0 : heights[std::size_t(part * double(heights.size() - 1))];
    };

    auto matrix = open(prefix + ".spectrogram.txt");
    matrix << std::setprecision(1) << picture.time_s.size();
    for (const double time : picture.time_s)
        matrix << ' ' << std::setprecision(4) << time;
    matrix << std::setprecision(1) << '\n';
    double strongest_db = quietest_db;
    for (std::size_t row = 0; row < picture.frequency_hz.size(); ++row) {
        matrix << picture.frequency_hz[row];
        for (const auto& column : picture.level_db) {
            strongest_db = std::max(strongest_db, double(column[row]));
            matrix << ' ' << column[row];
        }
        matrix << '\n';
    }
    open(prefix + ".values.gp") << "seconds = " << seconds
                                << "\nloudest_db = " << std::max(loudest_db, quietest_db)
                                << "\nstrongest_db = " << strongest_db << "\nlowest = " << share(0.005)
                                << "\nhighest = " << share(0.995) << '\n';
}
} // namespace

int main(int count, char** words)
{
    if (count < 3 || count > 5) {
        std::fputs("canebrake_tracks IN.wav PREFIX [TRANSPOSITION] [A4]\n", stderr);
        return 2;
    }
    try {
        write_pictures(read_audio(words[1]), words[2], count > 3 ? std::atof(words[3]) : -2.0,
                       count > 4 ? std::atof(words[4]) : 440.0);
    } catch (const InputError& error) {
        std::fprintf(stderr, "%s\n", error.what());
        return 1;
    }
    return 0;
}
