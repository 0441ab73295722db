// SPDX-License-Identifier: MIT
// Every tongued note: it speaks, in its register, in tune.
#include "engine/files/phrase/read_phrase.h"
#include "engine/part/choose_part.h"
#include "tests/engine/known.h"
#include "tests/engine/rendered.h"

#include <catch2/catch.hpp>

#include <cmath>

using namespace canebrake;

namespace
{

// Cents beyond the limit.
const KnownShortfalls known_studio{};
const KnownShortfalls known_ideal{};

/// E3 … G6, one second each and half a second apart.
Rendered every_note(const std::string& dynamic, Player player)
{
    std::string text = "tempo 60 " + dynamic;
    for (int n = 52; n <= 91; ++n)
        text += " 1/4 " + pitch_name(n) + " 1/8 rest";
    return rendered(text, settings_of(player));
}

void check_every_note(Player player, double limit_to_c6, double limit_above, const KnownShortfalls& known)
{
    for (const char* dynamic : {"pp", "mf", "ff"}) {
        const auto notes = every_note(dynamic, player);
        double worst_low = 0.0, worst_high = 0.0;
        for (std::size_t i = 0; i < notes.notes.size(); ++i) {
            const int written = notes.notes[i].written.number;
            const auto m = notes.measure(i);
            const double limit = written <= 84 ? limit_to_c6 : limit_above;
            INFO(m.settled_hz << " Hz with " << notes.notes[i].fingering);
            hold(pitch_name(written) + " " + dynamic, m.cents,
                 m.in_register ? std::abs(m.cents) - limit : lost, known);
            double& worst = written <= 84 ? worst_low : worst_high;
            if (m.in_register)
                worst = std::max(worst, std::abs(m.cents));
        }
        WARN("measured at " << dynamic << ": at most " << worst_low << " cents off to C6, " << worst_high
                            << " above");
    }
}

} // namespace

TEST_CASE("a studio player's every tongued note settles in its register, in tune", "[notes]")
{
    check_every_note(Player::studio, 12.0, 20.0, known_studio);
}

TEST_CASE("an ideal player's every note is tempered within 2 cents", "[notes]")
{
    check_every_note(Player::ideal, 2.0, 2.0, known_ideal);
}

TEST_CASE("a tongued note speaks within the time players are measured to take", "[notes]")
{
    // W. Li, A. Almeida, J. Smith, J. Wolfe, "The effect of blowing pressure, lip force and tonguing on
    // transients", JASA 140 (2016) 1089, abstract: the sound rises by several tens to several hundreds of
    // dB/s. 40 dB at 270 dB/s take 0.15 s, at 100 dB/s 0.4 s.
    for (const auto& [dynamic, limit_s] : {std::pair{"mf", 0.15}, std::pair{"pp", 0.4}}) {
        double slowest = 0.0;
        for (const int written : {52, 60, 67, 71, 76, 84}) {
            const auto m = one_note(written, dynamic).measure(0);
            CHECK(m.in_register);
            hold(pitch_name(written) + " " + dynamic, m.speaking_s, m.speaking_s - limit_s);
            slowest = std::max(slowest, m.speaking_s);
        }
        WARN("measured at " << dynamic << ": slowest start " << slowest * 1e3 << " ms");
    }
}

TEST_CASE("a studio player's pianissimo speaks within 100 ms up to B5", "[notes]")
{
    // Common practice, no source: a pp in the clarion is the clarinet's party piece and speaks promptly.
    std::string slowest;
    double most = 0.0;
    for (int written = 52; written <= 83; ++written) {
        const auto m = one_note(written, "pp").measure(0);
        CAPTURE(written, m.speaking_s);
        CHECK(m.in_register);
        CHECK(m.speaking_s < 0.10);
        if (m.speaking_s > most) {
            most = m.speaking_s;
            slowest = pitch_name(written);
        }
    }
    WARN("measured: slowest " << slowest << ", " << most * 1e3 << " ms");
}

TEST_CASE("a finer clock inside changes neither pitch nor level", "[notes]")
{
    double most_cents = 0.0, most_db = 0.0;
    for (const int written : {52, 60, 69, 72, 79, 84}) {
        const auto plain = one_note(written, "mf").measure(0);
        for (const int oversampling : {2, 4}) {
            RenderSettings settings;
            settings.oversampling = oversampling;
            const auto fine = one_note(written, "mf", settings).measure(0);
            const double cents = fine.cents - plain.cents, db = fine.level_db - plain.level_db;
            INFO(pitch_name(written) << " at " << oversampling << " times: " << cents << " cents, " << db
                                     << " dB");
            CHECK(std::abs(cents) < 1.0);
            CHECK(std::abs(db) < 0.5);
            most_cents = std::max(most_cents, std::abs(cents));
            most_db = std::max(most_db, std::abs(db));
        }
    }
    WARN("measured: at most " << most_cents << " cents and " << most_db << " dB");
}

TEST_CASE("a tongued note lands in its register whatever was played before it", "[notes]")
{
    // Common practice, no source: a fresh tongue forgets the note before. Every pair of twelve notes over
    // four registers.
    const std::vector<int> pitches{52, 58, 60, 65, 67, 69, 71, 74, 77, 81, 84, 89};
    std::string phrase = "tempo 120 mf 1/4";
    for (const int from : pitches)
        for (const int to : pitches)
            phrase += " " + pitch_name(from) + " " + pitch_name(to);
    for (const Player player : {Player::studio, Player::learner}) {
        RenderSettings settings;
        settings.player = player;
        Line line = choose_part(read_phrase(phrase), "");
        set_pitch_basis(line, PitchBasis::written, b_flat_soprano().transposition);
        Rendering rendering(b_flat_soprano(), line, settings);
        std::vector<float> audio(rendering.total_samples());
        rendering.process(audio);
        const auto& notes = rendering.notes();
        for (std::size_t i = 0; i < notes.size(); ++i) {
            const auto at = std::size_t(notes[i].start_s * settings.rate.value);
            const auto length = std::size_t((notes[i].end_s - notes[i].start_s) * settings.rate.value);
            const auto m =
                measure_note(std::span(audio).subspan(at, length), settings.rate, notes[i].target_hz);
            CAPTURE(i, pitch_name(notes[i].written.number), m.cents);
            CHECK(m.in_register);
        }
    }
}

TEST_CASE("a soft clarion note speaks whenever it begins, between two ticks too", "[note][invariant]")
{
    // Sixteen starts that fall at all places between two control ticks (32 samples).
    std::string words = "tempo 123.7 pp 1/8";
    for (int i = 0; i < 16; ++i)
        words += i % 2 == 0 ? " G5 rest" : " A5 rest";
    const Rendered sound = rendered(words, settings_of(Player::studio));
    for (std::size_t i = 0; i < sound.notes.size(); ++i) {
        const NoteMeasure heard = sound.measure(i);
        CAPTURE(i, sound.notes[i].start_s, heard.settled_hz, heard.speaking_s);
        CHECK(heard.in_register);
        CHECK(heard.speaking_s < 0.100);
    }
}
