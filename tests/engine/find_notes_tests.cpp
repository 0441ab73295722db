// SPDX-License-Identifier: MIT
// Made-up notes with known starts: what belongs to a note, and what does not.
#include "tests/engine/found.h"

#include <catch2/catch.hpp>

using namespace canebrake;

namespace
{
constexpr SampleRate rate{48000.0};

std::vector<Told> told(std::span<const MadeNote> notes)
{
    std::vector<Told> result;
    for (const MadeNote& note : notes)
        result.push_back({note.start_s, note.hz});
    return result;
}

/// Finds each of them, to 15 ms and 5 cents, and nothing else.
void check_all_found(std::span<const MadeNote> notes, std::span<const float> audio, SampleRate at = rate)
{
    const auto found = find_notes(audio, at);
    for (const FoundNote& note : found)
        UNSCOPED_INFO(note.start_s << "–" << note.end_s << " s, " << note.hz << " Hz");
    const Tally tally = compared(told(notes), found, 0.015, 5.0);
    CHECK(tally.right == notes.size());
    CHECK(tally.found == notes.size());
}

/// A scale of tempered semitones from `hz`, `each_s` apart, `gap_s` of silence between.
std::vector<MadeNote> scale(double hz, double each_s, double gap_s, int count, int step = 2)
{
    std::vector<MadeNote> notes;
    for (int i = 0; i < count; ++i)
        notes.push_back({0.2 + i * each_s, 0.2 + (i + 1) * each_s - gap_s, hz * std::exp2(i * step / 12.0)});
    return notes;
}
} // namespace

TEST_CASE("notes of a line are found where they start, at their pitch", "[find]")
{
    for (const double hz : {58.27, 146.83, 440.0}) // the low-C bass's lowest note, the soprano's, A4
        for (const double each_s : {0.12, 0.3, 1.0})
            for (const double gap_s : {0.0, 0.03}) {
                CAPTURE(hz, each_s, gap_s);
                const auto notes = scale(hz, each_s, gap_s, 8);
                check_all_found(notes, made(notes, 0.6 + 8 * each_s));
            }
}

TEST_CASE("a pitch that is tongued again is a new note, one that is only held is not", "[find]")
{
    for (const double hz : {110.0, 233.08, 932.33})
        for (const double each_s : {0.09, 0.125, 0.4}) {
            CAPTURE(hz, each_s);
            const auto notes = scale(hz, each_s, 0.012, 10, 0);
            check_all_found(notes, made(notes, 0.6 + 10 * each_s));
        }
    const std::vector<MadeNote> held{{0.2, 3.2, 233.08}};
    check_all_found(held, made(held, 3.5));
}

TEST_CASE("vibrato and a swell are no new notes", "[find]")
{
    const std::vector<MadeNote> notes{{0.1, 2.1, 440.0, 0.1, 30.0}, {2.2, 4.2, 493.88, 0.1, 30.0}};
    auto audio = made(notes, 4.5);
    for (std::size_t n = 0; n < audio.size(); ++n) // ±2 dB at 5 Hz, and from 0 to −12 dB
        audio[n] *= float(std::pow(10.0, (2.0 * std::sin(2.0 * std::numbers::pi * 5.0 * double(n) / 48000.0) -
                                          12.0 * double(n) / double(audio.size())) /
                                             20.0));
    const Tally tally = compared(told(notes), find_notes(audio, rate), 0.02, 20.0);
    CHECK(tally.right == 2);
    CHECK(tally.found == 2);
}

TEST_CASE("noise at −50 dB hides no note and makes none", "[find]")
{
    auto notes = scale(196.0, 0.25, 0.02, 12);
    for (std::size_t i = 0; i < notes.size(); i += 2)
        notes[i].amplitude = 0.02; // −37 dB RMS
    auto audio = made(notes, 4.0);
    add_noise(audio, -50.0);
    check_all_found(notes, audio);
    std::vector<float> nothing(std::size_t(5.0 * rate.value), 0.0F);
    for (const double level_db : {-80.0, -50.0, -20.0}) {
        add_noise(nothing, level_db);
        CHECK(find_notes(nothing, rate).empty());
    }
}

TEST_CASE("what a room leaves of a note under the next one is no note", "[find]")
{
    // Each short note leaves its pitch behind, 15 dB under it, dying by 60 dB in 1.2 s.
    const std::vector<double> pitches{440.0, 329.63, 440.0, 554.37, 554.37, 440.0};
    std::vector<MadeNote> notes;
    for (std::size_t i = 0; i < pitches.size(); ++i)
        notes.push_back({0.2 + 0.5 * double(i), 0.4 + 0.5 * double(i), pitches[i]});
    auto audio = made(notes, 5.0);
    for (const MadeNote& note : notes)
        for (auto n = std::size_t((note.start_s + 0.02) * 48000.0); n < audio.size(); ++n) {
            const double t = double(n) / 48000.0, since_s = std::max(0.0, t - note.end_s);
            audio[n] += float(0.018 * std::pow(10.0, -3.0 * since_s / 1.2) *
                              std::sin(2.0 * std::numbers::pi * note.hz * t));
        }
    check_all_found(notes, audio);
}

TEST_CASE("a note ends where it has sunk by 20 dB", "[find]")
{
    const std::vector<MadeNote> notes{{0.2, 1.0, 300.0, 0.1}, {0.99, 1.8, 300.0, 0.002}};
    const auto found = find_notes(made(notes, 2.0), rate);
    REQUIRE(found.size() == 1);
    CHECK(found[0].end_s == Approx(1.0).margin(0.03));
}

TEST_CASE("a constant in the recording hides no tongue", "[find]")
{
    auto notes = scale(233.08, 0.25, 0.012, 8, 0);
    auto audio = made(notes, 2.6);
    for (float& x : audio)
        x += 0.2F;
    check_all_found(notes, audio);
}

TEST_CASE("a note that is drawn to another makes two", "[find]")
{
    for (const double draw_s : {0.06, 0.3}) {
        std::vector<float> audio(std::size_t(2.0 * 48000.0));
        double phase = 0.0;
        for (std::size_t n = 0; n < audio.size(); ++n) {
            const double way = std::clamp((double(n) / 48000.0 - (1.0 - draw_s / 2)) / draw_s, 0.0, 1.0);
            phase += 2.0 * std::numbers::pi * 300.0 * std::exp2(way * 4.0 / 12.0) / 48000.0;
            audio[n] = float(0.1 * std::sin(phase) + 0.03 * std::sin(3.0 * phase));
        }
        CAPTURE(draw_s);
        const auto found = find_notes(audio, rate);
        REQUIRE(found.size() == 2);
        CHECK(found[0].hz == Approx(300.0).epsilon(0.002));
        CHECK(found[1].hz == Approx(300.0 * std::exp2(4.0 / 12.0)).epsilon(0.002));
        CHECK(found[1].start_s == Approx(1.0).margin(0.05 + draw_s / 2));
    }
}

TEST_CASE("silence, a click, a constant and next to nothing hold no notes", "[find]")
{
    std::vector<float> audio(96000, 0.0F);
    CHECK(find_notes(audio, rate).empty());
    CHECK(find_notes({}, rate).empty());
    for (const std::size_t samples : {1u, 15u, 400u, 1200u})
        CHECK(find_notes(std::span(audio).first(samples), rate).empty());
    std::fill(audio.begin(), audio.end(), 0.3F);
    CHECK(find_notes(audio, rate).empty());
    std::fill(audio.begin(), audio.end(), 0.0F);
    audio[40000] = 1.0F; // and one of 2 ms
    for (std::size_t n = 60000; n < 60096; ++n)
        audio[n] = n % 2 ? 0.8F : -0.8F;
    CHECK(find_notes(audio, rate).empty());
}

TEST_CASE("notes are the same at any sample rate and level, in order and within the file",
          "[find][invariant]")
{
    const auto notes = scale(196.0, 0.2, 0.015, 10);
    for (const double hz : {11025.0, 22050.0, 44100.0, 96000.0, 192000.0}) {
        CAPTURE(hz);
        check_all_found(notes, made(notes, 2.5, hz), {hz});
    }
    auto audio = made(notes, 2.5);
    const auto loud = find_notes(audio, rate);
    for (float& x : audio)
        x *= 0.05F;
    const auto soft = find_notes(audio, rate);
    REQUIRE(loud.size() == soft.size());
    double last_end_s = 0.0;
    for (std::size_t i = 0; i < loud.size(); ++i) {
        CHECK(loud[i].start_s == Approx(soft[i].start_s).margin(0.0041)); // a hop
        CHECK(loud[i].hz == Approx(soft[i].hz));
        CHECK(loud[i].start_s >= last_end_s);
        CHECK(loud[i].end_s - loud[i].start_s >= FindOptions{}.shortest_s);
        last_end_s = loud[i].end_s;
    }
    CHECK(last_end_s <= 2.5);
    CHECK(last_end_s == Approx(notes.back().end_s).margin(0.03));
}
