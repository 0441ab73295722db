// SPDX-License-Identifier: MIT
// What is compared: tones over pitch and dynamic, their means, differences and words.
#include "engine/comparison/figures.h"
#include "engine/comparison/tone_map.h"
#include "engine/comparison/traits.h"
#include "tests/engine/rendered.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>

using namespace canebrake;

namespace
{

constexpr std::array<double, 3> pp_mf_ff{1.0, 4.0, 6.0};

std::vector<WrittenPitch> notes_between(int first, int last)
{
    std::vector<WrittenPitch> notes;
    for (int n = first; n <= last; ++n)
        notes.push_back({n});
    return notes;
}

ToneMap map_of(const char* instrument, int first, int last, std::span<const double> levels,
               const ToneMapOptions& options = {}, Player player = Player::studio)
{
    RenderSettings settings;
    settings.player = settings.kit.level = player;
    return tone_map(instrument_named(instrument), notes_between(first, last), levels, settings, options);
}

std::vector<ToneFigures> figures(const ToneMap& map, std::size_t level)
{
    std::vector<ToneFigures> all;
    for (const ToneNote& note : map.notes)
        all.push_back(figures_of(note.cells.at(level).heard));
    return all;
}

/// A map of made-up tones a semitone apart, all alike; the instrument is only for its name.
ToneMap even_map(std::size_t notes)
{
    ToneMap map{&b_flat_soprano(), Player::studio, {4.0}, {}};
    for (std::size_t i = 0; i < notes; ++i) {
        ToneCell cell;
        cell.heard.note = {440.0, 0.0, -20.0, 0.03, 1000.0, true};
        cell.heard.tone.fundamental_hz = 440.0;
        cell.heard.tone.centroid_hz = 1000.0;
        cell.heard.tone.fundamental_share_db = -3.0;
        cell.heard.tone.noise_db = -50.0;
        map.notes.push_back({{60 + int(i)}, {58.0 + double(i)}, "", {cell}});
    }
    return map;
}

} // namespace

TEST_CASE("a tone of the map is the sound that render makes of that one note", "[compare]")
{
    ToneMapOptions options;
    options.keep_audio = true;
    const ToneMap map = map_of("B-flat", 69, 71, pp_mf_ff, options);
    const Rendered a4 = rendered("tempo 60 mf 1/4 A4");
    REQUIRE(map.notes.size() == 3);
    REQUIRE(map.notes[0].cells.size() == 3);
    CHECK(map.notes[0].cells[1].audio == a4.audio);
    CHECK(map.notes[0].fingering == a4.notes[0].fingering);
    const NoteMeasure measured = a4.measure(0);
    CHECK(map.notes[0].cells[1].heard.note.level_db == Approx(measured.level_db).margin(1e-9));
    CHECK(map.notes[0].cells[1].heard.note.cents == Approx(measured.cents).margin(1e-9));
}

TEST_CASE("a tone map is the same on one thread and on three", "[compare]")
{
    ToneMapOptions one, three;
    one.threads = 1;
    three.threads = 3;
    const ToneMap a = map_of("A", 66, 72, pp_mf_ff, one), b = map_of("A", 66, 72, pp_mf_ff, three);
    for (std::size_t n = 0; n < a.notes.size(); ++n)
        for (std::size_t level = 0; level < 3; ++level) {
            CHECK(a.notes[n].cells[level].heard.note.level_db == b.notes[n].cells[level].heard.note.level_db);
            CHECK(a.notes[n].cells[level].heard.tone.harmonic_db ==
                  b.notes[n].cells[level].heard.tone.harmonic_db);
        }
}

TEST_CASE("notes off the instrument have no tones", "[compare]")
{
    const ToneMap map = map_of("B-flat", 50, 53, pp_mf_ff);
    CHECK(map.notes[0].cells.empty()); // D3: the B-flat begins at E3
    CHECK(map.notes[1].cells.empty());
    CHECK(map.notes[2].cells.size() == 3);
}

TEST_CASE("a tone map can be broken off", "[compare]")
{
    ToneMapOptions options;
    int asked = 0;
    options.go_on = [&](double) { return ++asked < 3; };
    const ToneMap map = map_of("B-flat", 52, 96, pp_mf_ff, options);
    const auto done = std::count_if(map.notes.begin(), map.notes.end(),
                                    [](const ToneNote& note) { return !note.cells.empty(); });
    CHECK(done < std::ptrdiff_t(map.notes.size()));
}

TEST_CASE("means leave out what was not measured, and brightness is averaged in ratios", "[compare][law]")
{
    ToneFigures a, b, c;
    a.level_db = -20.0;
    a.centroid_hz = 500.0;
    b.level_db = -10.0;
    b.centroid_hz = 2000.0;
    c.level_db = -30.0; // never settled
    const std::array all{a, b, c};
    const ToneFigures m = mean_of(all);
    CHECK(*m.level_db == Approx(-20.0));
    CHECK(*m.centroid_hz == Approx(1000.0));
    CHECK(!m.cents);
    CHECK(!mean_of({}).level_db);
}

TEST_CASE("a difference is what the one has over the other, and mirrors", "[compare][law]")
{
    ToneFigures a, b;
    a.level_db = -20.0;
    a.centroid_hz = 1000.0;
    a.cents = 4.0;
    b.level_db = -23.0;
    b.centroid_hz = 800.0;
    const ToneDifference d = difference(a, b), back = difference(b, a);
    CHECK(*d.level_db == Approx(3.0));
    CHECK(*d.centroid_ratio == Approx(1.25));
    CHECK(!d.cents); // only one of them has it
    CHECK(*back.level_db == Approx(-3.0));
    CHECK(*back.centroid_ratio == Approx(0.8));
    const std::array of{a, a}, against{b, ToneFigures{}};
    CHECK(mean_difference(of, against).notes == 1);
    CHECK(*mean_difference(of, against).level_db == Approx(3.0));
}

TEST_CASE("differences have words from where they are heard, the greatest first", "[compare]")
{
    ToneDifference d;
    CHECK(words_of(d).empty());
    d.centroid_ratio = 1.04;
    d.loudness_lu = 0.9;
    CHECK(words_of(d).empty());
    d.loudness_lu = -1.1;
    CHECK(words_of(d) == std::vector<std::string>{"a shade softer"});
    d.centroid_ratio = 1.5;
    d.cents = -6.0;
    CHECK(words_of(d) == std::vector<std::string>{"much brighter", "flatter", "a shade softer"});
    CHECK(words_of(d, 1.0) == std::vector<std::string>{"much brighter", "flatter"});
}

TEST_CASE("a note is called dull, bright, weak or strong only beside its neighbours", "[compare]")
{
    ToneMap map = even_map(9);
    for (const auto& note : traits_of(map))
        CHECK(note.at(0).empty());
    map.notes[4].cells[0].heard.tone.centroid_hz = 790.0; // 1000 / 1.25 is 800
    map.notes[2].cells[0].heard.note.level_db = -24.1;
    map.notes[6].cells[0].heard.note.level_db = -15.9;
    const auto traits = traits_of(map);
    CHECK(traits[4][0] == std::vector{Trait::dull});
    CHECK(traits[2][0] == std::vector{Trait::weak});
    CHECK(traits[6][0] == std::vector{Trait::strong});
    CHECK(traits[5][0].empty());

    ToneMap few = even_map(4); // three neighbours are too few to tell
    few.notes[1].cells[0].heard.note.level_db = -40.0;
    CHECK(traits_of(few)[1][0].empty());
}

TEST_CASE("late, sharp, thin, breathy and lost notes are told", "[compare]")
{
    ToneMap map = even_map(1);
    ToneCell& cell = map.notes[0].cells[0];
    const auto traits = [&] { return traits_of(map)[0][0]; };
    cell.heard.note.speaking_s = 0.151;
    CHECK(traits() == std::vector{Trait::late});
    cell.heard.note.speaking_s = 0.149;
    cell.heard.note.cents = 8.5;
    cell.before_lip_cents = 30.0; // said once
    CHECK(traits() == std::vector{Trait::sharp});
    cell.heard.note.cents = 5.0;
    CHECK(traits() == std::vector{Trait::pulls_sharp});
    cell.before_lip_cents = 0.0;
    cell.heard.tone.fundamental_share_db = -0.4;
    CHECK(traits() == std::vector{Trait::thin});
    cell.level = 1.0; // a pp is always so
    CHECK(traits().empty());
    cell.heard.tone.noise_db = -29.0;
    CHECK(traits() == std::vector{Trait::breathy});
    cell.heard.note.in_register = false;
    CHECK(traits() == std::vector{Trait::unsettled});
    map.player = Player::ideal; // whom the instrument does not pull
    cell.heard.note.in_register = true;
    cell.heard.tone.noise_db = -50.0;
    cell.before_lip_cents = 40.0;
    CHECK(traits().empty());
}

// Common practice, no source: what every orchestrator says of them.
TEST_CASE("at mf the E-flat is brighter than the B-flat, the C between, the A a shade darker", "[compare]")
{
    constexpr std::array<double, 1> mf{4.0};
    const auto b_flat = figures(map_of("B-flat", 71, 84, mf), 0);
    const auto brighter = [&](const char* name) {
        return *mean_difference(figures(map_of(name, 71, 84, mf), 0), b_flat).centroid_ratio;
    };
    const double e_flat = brighter("E-flat"), c = brighter("C"), a = brighter("A");
    CAPTURE(e_flat, c, a);
    CHECK(e_flat > c);
    CHECK(c > 1.0);
    CHECK(a < 1.0);
    CHECK(a > 0.9);
}
