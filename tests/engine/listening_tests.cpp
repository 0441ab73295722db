// SPDX-License-Identifier: MIT
// What is heard in sums of known sines. Every expected figure follows from how the sound was made; the one
// outside opinion is aubiopitch (aubio, https://aubio.org), asked when it is installed.
#include "engine/listening/listening.h"
#include "engine/listening/note_meter.h"
#include "engine/listening/spectrogram.h"
#include "tests/engine/known_sines.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <numbers>
#include <random>
#include <unistd.h>

using namespace canebrake;

namespace
{
constexpr SampleRate rate{48000.0};

/// WAVE_FORMAT_IEEE_FLOAT, mono (Microsoft and IBM, "Multimedia Programming Interface and Data Specifications
/// 1.0", 1991, and its 1994 revision), by hand: the engine's tests do without the file library.
void write_float_wav(const std::string& path, const Audio& audio)
{
    std::ofstream file(path, std::ios::binary);
    const auto word = [&](std::uint32_t value, int bytes) {
        for (int i = 0; i < bytes; ++i)
            file.put(char(value >> (8 * i) & 0xFF));
    };
    const auto bytes = std::uint32_t(audio.size() * sizeof(float)), hz = std::uint32_t(rate.value);
    file << "RIFF";
    word(36 + bytes, 4);
    file << "WAVEfmt ";
    word(16, 4), word(3, 2), word(1, 2), word(hz, 4), word(4 * hz, 4), word(4, 2), word(32, 2);
    file << "data";
    word(bytes, 4);
    file.write(reinterpret_cast<const char*>(audio.data()), std::streamsize(bytes));
}
double seconds_for(const std::function<void()>& work)
{
    const auto start = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}
} // namespace

TEST_CASE("a settled tone is read to half a cent and its level to 0.2 dB from 0.15 s", "[listening][limits]")
{
    double worst_cents = 0.0, worst_db = 0.0;
    unsigned seed = 1;
    for (double f = 146.0; f < 1866.0; f *= 1.0293) { // every half-tone or so, off the tempered pitches
        const auto audio = tone(0.15, still(f), shape_at(f), step(1.0, 1.0, 1.0), -50.0, ++seed);
        for (const double near : {0.0, f, f * 1.06, f / 1.06}) {
            const double heard = settled_frequency(audio, rate, near);
            INFO("sounding " << f << " Hz, told " << near << ", heard " << heard);
            REQUIRE(heard > 0.0);
            worst_cents = std::max(worst_cents, std::abs(cents(heard, f)));
        }
        const auto note = measure_note(audio, rate, f);
        worst_cents = std::max(worst_cents, std::abs(note.cents));
        worst_db = std::max(worst_db, std::abs(note.level_db - rms_db(shape_at(f))));
    }
    WARN("worst of the row: " << worst_cents << " cents, " << worst_db << " dB");
    CHECK(worst_cents < 0.5);
    CHECK(worst_db < 0.2);
}

TEST_CASE("a throat note with its third harmonic 15 dB up does not read a twelfth high",
          "[listening][limits]")
{
    const std::vector<double> bare{0, -40, 15}; // nothing but the third to tell T from T/3: ρ(T/3) = 0.954
    for (const auto& shape : {throat, bare})
        for (const double f : {311.1, 349.2, 369.9, 392.0, 415.3}) {
            const auto audio = tone(0.3, still(f), shape);
            CHECK(cents(settled_frequency(audio, rate, 0.0), f) == Approx(0.0).margin(0.5));
            const auto note = measure_note(audio, rate, f);
            CHECK(note.in_register);
            CHECK(note.speaking_s < 0.005);
            CHECK_FALSE(measure_note(audio, rate, 3.0 * f).in_register);
            for (const auto& frame : track(audio, rate)) {
                INFO("at " << frame.time_s << " s of " << f << " Hz: " << frame.frequency_hz);
                REQUIRE(std::abs(cents(frame.frequency_hz, f)) < 3.0);
            }
        }
}

TEST_CASE("noise, silence and scraps have no pitch", "[listening]")
{
    Audio noise(24000);
    std::mt19937 random(5);
    for (float& x : noise)
        x = float(std::normal_distribution<double>(0.0, 0.1)(random));
    CHECK(settled_frequency(noise, rate, 0.0) == 0.0);
    CHECK(settled_frequency(noise, rate, 440.0) == 0.0);
    CHECK(measure_note(noise, rate, 440.0).settled_hz == 0.0);
    CHECK_FALSE(measure_note(noise, rate, 440.0).in_register);
    const Audio silence(24000, 0.0F);
    CHECK(settled_frequency(silence, rate, 440.0) == 0.0);
    CHECK(measure_note(silence, rate, 440.0).level_db == -120.0);
    for (const auto& frame : track(silence, rate))
        REQUIRE(frame.frequency_hz == 0.0);
    for (const std::size_t length : {0UL, 1UL, 2UL, 15UL, 16UL, 17UL, 100UL, 383UL, 384UL, 1000UL}) {
        const auto scrap = std::span(noise).first(length);
        CHECK_NOTHROW(settled_frequency(scrap, rate, 0.0));
        CHECK_NOTHROW(harmonics(scrap, rate, 300.0));
        CHECK_NOTHROW(track(scrap, rate));
        CHECK_NOTHROW(measure_note(scrap, rate, 300.0));
        CHECK_NOTHROW(measure_slur(scrap, rate, 0.001, 300.0, 400.0));
        CHECK_NOTHROW(measure_slur(scrap, rate, 1.0, 300.0, 400.0));
    }
}

TEST_CASE("harmonic levels are right to 0.3 dB beside neighbours 40 dB stronger", "[listening][limits]")
{
    for (const double f : {146.8, 233.1, 349.2, 622.3, 1046.5, 1864.7}) {
        const auto& shape = shape_at(f);
        const auto heard = harmonics(tone(0.3, still(f), shape, step(1, 1, 1), -80.0), rate, f * 1.01);
        CHECK(cents(heard.fundamental_hz, f) == Approx(0.0).margin(0.1));
        REQUIRE(heard.level_db.size() == 40);
        double weighted = 0.0, sum = 0.0;
        for (std::size_t k = 1; k <= shape.size(); ++k) {
            INFO(f << " Hz, harmonic " << k);
            if (double(k) * f < 0.45 * rate.value)
                CHECK(heard.level_db[k - 1] == Approx(shape[k - 1] - 20.0).margin(0.3));
            if (double(k) * f <= 10000.0) {
                weighted += from_db(shape[k - 1]) * double(k) * f;
                sum += from_db(shape[k - 1]);
            }
        }
        CHECK(heard.centroid_hz == Approx(weighted / sum).epsilon(0.01));
        const auto note = measure_note(tone(0.4, still(f), shape), rate, f);
        CHECK(note.centroid_hz == Approx(weighted / sum).epsilon(0.03));
    }
}

TEST_CASE("noise outside the harmonics is read to 1 dB and a clean tone lies under −80 dB",
          "[listening][limits]")
{
    const auto nothing = step(1, 1, 1);
    for (const double f : {146.8, 349.2, 1046.5}) {
        const auto& shape = shape_at(f);
        const auto clean = harmonics(tone(0.5, still(f), shape, nothing, -999.0), rate, f);
        WARN(f << " Hz, clean: " << clean.noise_db << " dB");
        CHECK(clean.noise_db < -80.0);
        for (const double level : {-60.0, -40.0, -20.0}) {
            // White up to 24 kHz; two thirds of its power lie under 16 kHz.
            const auto heard = harmonics(tone(0.5, still(f), shape, nothing, level), rate, f);
            CHECK(heard.noise_db == Approx(level + 10.0 * std::log10(16.0 / 24.0)).margin(1.0));
        }
    }
}

TEST_CASE("a note that sits in another register says where it is", "[listening]")
{
    struct Case {
        double told, sounding;
    };
    for (const Case c : {Case{349.2, 1047.6}, Case{174.6, 523.9}, Case{523.9, 174.6}, Case{1047.6, 349.2},
                         Case{146.8, 734.0}, Case{1244.5, 1567.9}, Case{392.0, 466.2}}) {
        const auto note = measure_note(tone(0.4, still(c.sounding), shape_at(c.sounding)), rate, c.told);
        INFO("told " << c.told << ", sounding " << c.sounding);
        CHECK(cents(note.settled_hz, c.sounding) == Approx(0.0).margin(0.5));
        CHECK_FALSE(note.in_register);
        CHECK(note.cents == Approx(cents(c.sounding, c.told)).margin(0.6));
        const auto right = measure_note(tone(0.4, still(c.sounding), shape_at(c.sounding)), rate, c.sounding);
        CHECK(right.in_register);
    }
    SECTION("and one that changes register half-way has not settled")
    {
        const auto note = measure_note(tone(0.5, step(0.33, 349.2, 1047.6), clarion), rate, 349.2);
        CHECK(note.settled_hz == 0.0);
        CHECK_FALSE(note.in_register);
    }
}

TEST_CASE("the speaking time is right to 5 ms", "[listening][limits]")
{
    double worst = 0.0;
    for (const double f : {146.8, 220.0, 349.2, 466.2, 698.5, 1046.5, 1567.9})
        for (const double attack_s : {0.0, 0.02, 0.06, 0.15})
            for (const double wait_s : {0.0, 0.03}) {
                // Amplitude rises in a straight line after a wait: half of it is 6 dB under.
                const Curve envelope = [=](double t) {
                    return t < wait_s ? 0.0 : attack_s > 0.0 ? std::min(1.0, (t - wait_s) / attack_s) : 1.0;
                };
                const auto note = measure_note(tone(0.5, still(f), shape_at(f), envelope), rate, f);
                const double expected = wait_s + attack_s * from_db(-6.0);
                INFO(f << " Hz, attack " << attack_s << " s after " << wait_s << " s: " << note.speaking_s);
                CHECK(note.speaking_s == Approx(expected).margin(0.005));
                worst = std::max(worst, std::abs(note.speaking_s - expected));
            }
    SECTION("also when the note first sounds in another register")
    {
        for (const double f : {523.3, 784.0, 1047.6}) {
            const auto note = measure_note(tone(0.5, step(0.08, f / 3.0, f), clarion), rate, f);
            INFO(f << " Hz: " << note.speaking_s);
            CHECK(note.speaking_s == Approx(0.08).margin(0.005));
            CHECK(note.in_register);
        }
    }
    WARN("worst: " << worst * 1000.0 << " ms");
}

TEST_CASE("a slur over the break shows its dip and when the new note stands", "[listening]")
{
    SECTION("without a dip")
    {
        const auto slur = measure_slur(tone(0.8, step(0.4, 392.0, 494.0), clarion), rate, 0.4, 392.0, 494.0);
        CHECK(slur.dip_db < 0.3);
        CHECK(slur.settle_s < 0.012);
        CHECK(slur.arrived);
    }
    SECTION("with 40 ms at −12 dB")
    {
        const Curve envelope = [](double t) { return t > 0.41 && t < 0.45 ? from_db(-12.0) : 1.0; };
        const auto audio = tone(0.8, step(0.43, 392.0, 494.0), clarion, envelope);
        const auto slur = measure_slur(audio, rate, 0.4, 392.0, 494.0);
        CHECK(slur.dip_db == Approx(12.0).margin(0.5));
        CHECK(slur.settle_s == Approx(0.05).margin(0.008));
        CHECK(slur.arrived);
    }
    SECTION("a dip counts from the softer note")
    {
        const Curve envelope = [](double t) {
            return t < 0.41 ? 1.0 : t < 0.46 ? from_db(-16.0) : from_db(-6.0);
        };
        const auto slur =
            measure_slur(tone(0.8, step(0.43, 392.0, 494.0), clarion, envelope), rate, 0.4, 392.0, 494.0);
        CHECK(slur.dip_db == Approx(10.0).margin(0.5));
    }
    SECTION("up a twelfth, after 60 ms of staying below")
    {
        const auto slur = measure_slur(tone(0.8, step(0.46, 196.0, 588.0), clarion), rate, 0.4, 196.0, 588.0);
        CHECK(slur.settle_s == Approx(0.06).margin(0.01));
        CHECK(slur.arrived);
    }
    SECTION("a gliding pitch settles when it is within 50 cents")
    {
        const Curve pitch = [](double t) {
            return t < 0.4 ? 330.0 : t < 0.5 ? 392.0 * std::exp2(-2.0 * (0.5 - t) / 0.1 / 12.0) : 392.0;
        };
        const auto slur = measure_slur(tone(0.9, pitch, clarion), rate, 0.4, 330.0, 392.0);
        CHECK(slur.settle_s == Approx(0.075).margin(0.01)); // 200 cents in 100 ms: 50 remain after 75
    }
    SECTION("a note that stays below has not arrived")
    {
        const auto slur = measure_slur(tone(0.8, still(196.0), chalumeau), rate, 0.4, 196.0, 588.0);
        CHECK_FALSE(slur.arrived);
        CHECK(slur.settle_s == Approx(0.4).margin(0.001));
    }
    SECTION("low notes have no dip from their own period")
    {
        const auto slur =
            measure_slur(tone(0.8, step(0.4, 146.8, 164.8), chalumeau), rate, 0.4, 146.8, 164.8);
        CHECK(slur.dip_db < 0.4);
        CHECK(slur.settle_s < 0.02);
    }
}

TEST_CASE("a track follows scales, wide leaps and vibrato", "[listening]")
{
    const Curve pitch = [](double t) {
        constexpr double degrees[] = {0, 2, 4, 5, 7, 9, 11, 12, 19, 0, 31, 24};
        return 146.8 * std::exp2(degrees[std::size_t(t / 0.25) % 12] / 12.0);
    };
    const auto frames = track(tone(3.0, pitch, chalumeau, step(1, 1, 1), -40.0), rate);
    REQUIRE(frames.size() > 700);
    for (const auto& frame : frames) {
        const double into = std::fmod(frame.time_s, 0.25);
        if (into < 0.02 || into > 0.23)
            continue;
        INFO("at " << frame.time_s << " s: " << frame.frequency_hz << ", clarity " << frame.clarity);
        REQUIRE(std::abs(cents(frame.frequency_hz, pitch(frame.time_s))) < 5.0);
    }
    const Curve wavering = [](double t) { return 440.0 * std::exp2(30.0 / 1200.0 * std::sin(31.4 * t)); };
    for (const auto& frame : track(tone(1.0, wavering, clarion), rate))
        REQUIRE(std::abs(cents(frame.frequency_hz, wavering(frame.time_s))) < 6.0);
    const auto loud = track(tone(0.5, still(440.0), {0.0}, step(1, 1, 1), -90.0), rate);
    CHECK(loud[30].level_db == Approx(-23.01).margin(0.1)); // a sine of amplitude −20 dB
}

TEST_CASE("notes metered as they stream are measured the same however the audio is cut",
          "[listening][invariant]")
{
    const Curve pitch = [](double t) { return t < 0.5 ? 220.0 : t < 1.1 ? 330.0 : 494.0; };
    const Curve envelope = [](double t) { return t < 0.6 ? 1.0 : std::min(1.0, 0.2 + 20.0 * (t - 0.6)); };
    const auto audio = tone(10.0, pitch, clarion, envelope);
    const std::vector<ToldNote> told{{0.0, 0.5, 220.0}, {0.6, 1.1, 330.0},  {1.1, 1.15, 494.0},
                                     {1.2, 9.7, 494.0}, {9.9, 12.0, 494.0}, {13.0, 14.0, 220.0}};
    const auto metered = [&](const std::function<std::size_t()>& block) {
        NoteMeter meter(told, rate);
        for (std::size_t at = 0; at < audio.size();) {
            const std::size_t size = std::min(block(), audio.size() - at);
            meter.push(std::span(audio).subspan(at, size));
            at += size;
        }
        return meter.finish();
    };
    const auto whole = metered([&] { return audio.size(); });
    REQUIRE(whole.size() == told.size());
    for (std::size_t i = 0; i + 2 < told.size(); ++i) { // those that came complete: as measure_note
        const auto from = std::size_t(std::lround(told[i].start_s * rate.value));
        const auto to = std::size_t(std::lround(told[i].end_s * rate.value));
        const auto alone = measure_note(std::span(audio).subspan(from, to - from), rate, told[i].target_hz);
        CHECK(alone.settled_hz == whole[i].settled_hz);
        CHECK(alone.speaking_s == whole[i].speaking_s);
        CHECK(alone.level_db == whole[i].level_db);
        CHECK(alone.centroid_hz == whole[i].centroid_hz);
        CHECK(alone.in_register);
    }
    CHECK(whole[4].in_register); // 0.1 s of it came
    CHECK(whole[5].settled_hz == 0.0);
    CHECK(whole[5].level_db == -120.0);
    std::mt19937 random(3);
    for (const auto& block : std::vector<std::function<std::size_t()>>{
             [] { return std::size_t(64); }, [] { return std::size_t(1); }, [] { return std::size_t(4801); },
             [&] { return std::size_t(random() % 1500); }}) {
        const auto cut = metered(block);
        for (std::size_t i = 0; i < told.size(); ++i) {
            CHECK(cut[i].settled_hz == whole[i].settled_hz);
            CHECK(cut[i].level_db == whole[i].level_db);
            CHECK(cut[i].speaking_s == whole[i].speaking_s);
            CHECK(cut[i].centroid_hz == whole[i].centroid_hz);
            CHECK(cut[i].in_register == whole[i].in_register);
        }
    }
}

TEST_CASE("a spectrogram shows each sine where and when it sounds, at its level", "[listening]")
{
    const auto picture =
        spectrogram(tone(1.0, step(0.5, 1000.0, 3000.0), {0, -30}, step(1, 1, 1), -90.0), rate);
    REQUIRE(picture.level_db.size() == picture.time_s.size());
    REQUIRE(picture.level_db[0].size() == picture.frequency_hz.size());
    const auto row_hz = picture.frequency_hz[1] - picture.frequency_hz[0];
    const auto at = [&](double time_s, double hz) {
        const double columns = double(picture.time_s.size()); // over 1 s
        return double(picture.level_db[std::size_t(time_s * columns)][std::size_t(hz / row_hz)]);
    };
    CHECK(at(0.25, 1000.0) == Approx(-20.0).margin(0.5));
    CHECK(at(0.25, 2000.0) == Approx(-50.0).margin(0.5));
    CHECK(at(0.25, 3000.0) < -90.0);
    CHECK(at(0.75, 3000.0) == Approx(-20.0).margin(0.5));
    CHECK(at(0.75, 1000.0) < -90.0);
    CHECK(spectrogram({}, rate).time_s.empty());
}

TEST_CASE("other sample rates are heard as well", "[listening]")
{
    for (const double hz : {22050.0, 44100.0, 96000.0}) {
        Audio audio(std::size_t(0.3 * hz));
        for (std::size_t n = 0; n < audio.size(); ++n)
            for (int k = 1; k <= 9; k += 2)
                audio[n] += float(0.1 / k * std::sin(2.0 * std::numbers::pi * 233.08 * k * double(n) / hz));
        const auto note = measure_note(audio, SampleRate{hz}, 233.08);
        CHECK(note.cents == Approx(0.0).margin(0.1));
        CHECK(note.speaking_s < 0.005);
    }
}

TEST_CASE("how fast it listens", "[.][slow][bench]")
{
    const auto note = tone(0.5, still(174.6), chalumeau);
    const double a_note = seconds_for([&] {
                              for (int i = 0; i < 20; ++i)
                                  measure_note(note, rate, 174.6);
                          }) /
                          20.0;
    const auto slurred = tone(0.8, step(0.4, 196.0, 588.0), clarion);
    const double a_slur = seconds_for([&] { measure_slur(slurred, rate, 0.4, 196.0, 588.0); });
    const auto minute = tone(60.0, still(349.2), clarion);
    const double a_minute = seconds_for([&] { track(minute, rate); });
    WARN("0.5 s note: " << a_note * 1e3 << " ms; slur: " << a_slur * 1e3 << " ms; track of 60 s: " << a_minute
                        << " s");
}

TEST_CASE("an independent program hears the same pitch within 5 cents", "[listening][outside]")
{
    // aubiopitch 0.4.9, method yin (A. de Cheveigné and H. Kawahara, "YIN, a fundamental frequency
    // estimator", JASA 111, 2002). Its default, yinfft, reads the two highest tones an octave and a twelfth
    // low.
    if (std::system("command -v aubiopitch >/dev/null 2>&1") != 0) {
        WARN("skipped: aubiopitch is not installed (Debian package aubio-tools)");
        return;
    }
    const auto folder =
        std::filesystem::temp_directory_path() / ("canebrake-listening-" + std::to_string(::getpid()));
    std::filesystem::create_directories(folder);
    for (const double f : {150.0, 196.5, 262.4, 349.2, 471.0, 660.0, 931.0, 1320.0}) {
        const auto audio = tone(1.0, still(f), f < 300.0 ? chalumeau : clarion);
        const auto wav = (folder / "tone.wav").string(), text = (folder / "pitch.txt").string();
        write_float_wav(wav, audio);
        REQUIRE(std::system(("aubiopitch -p yin -B 2048 -H 512 -i '" + wav + "' > '" + text + "'").c_str()) ==
                0);
        std::ifstream lines(text);
        std::vector<double> theirs;
        for (double time = 0.0, hz = 0.0; lines >> time >> hz;)
            if (time > 0.2 && time < 0.8)
                theirs.push_back(hz);
        REQUIRE(theirs.size() > 20);
        std::nth_element(theirs.begin(), theirs.begin() + std::ptrdiff_t(theirs.size() / 2), theirs.end());
        const double median = theirs[theirs.size() / 2], ours = settled_frequency(audio, rate, 0.0);
        INFO(f << " Hz: aubiopitch " << median << ", ours " << ours);
        CHECK(std::abs(cents(ours, median)) < 5.0);
    }
    std::filesystem::remove_all(folder);
}
