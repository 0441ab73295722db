// SPDX-License-Identifier: MIT
// Rendered sound against what others say: an independent pitch tracker, real scores, tables and physics.
#include "cli/audio/wav_file.h"
#include "engine/files/read.h"
#include "engine/part/choose_part.h"
#include "tests/engine/rendered.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <unistd.h>

using namespace canebrake;
namespace fs = std::filesystem;

namespace
{

fs::path shared_scores()
{
    const char* folder = std::getenv("CANEBRAKE_SHARED");
    return (folder ? fs::path(folder) : fs::path(__FILE__).parent_path() / "../../../shared") / "scores";
}

/// The part as the command line would play it.
Line part_of(const fs::path& file, const std::string& part)
{
    Line line = choose_part(read_score(file), part);
    set_pitch_basis(line, PitchBasis::as_file, b_flat_soprano().transposition);
    place_grace_notes(line);
    write_out_ornaments(line);
    return line;
}

double settled_hz(int written, const RenderSettings& settings)
{
    const auto m = one_note(written, "mf", settings).measure(0);
    CAPTURE(pitch_name(written), m.cents);
    CHECK(m.in_register);
    return m.settled_hz;
}

const std::vector<int> across_registers{52, 60, 64, 72, 79}; // E3 C4 E4 C5 G5

} // namespace

TEST_CASE("an independent pitch tracker hears the notes we meant", "[outside]")
{
    // aubiopitch (aubio, https://aubio.org), method yin: A. de Cheveigné and H. Kawahara, JASA 111, 2002.
    if (std::system("command -v aubiopitch >/dev/null 2>&1") != 0) {
        WARN("skipped: aubiopitch is not installed (Debian package aubio-tools)");
        return;
    }
    const fs::path folder = fs::temp_directory_path() / ("canebrake-outside-" + std::to_string(::getpid()));
    fs::create_directories(folder);
    for (const int written : {52, 60, 67, 74, 83}) {
        const auto note = one_note(written, "mf");
        const auto wav = (folder / "note.wav").string(), text = (folder / "pitch.txt").string();
        WavWriter writer(wav, {output_rate}, SampleFormat::pcm24);
        writer.write(note.audio);
        writer.finish();
        REQUIRE(std::system(("aubiopitch -p yin -B 2048 -H 512 -i '" + wav + "' > '" + text + "'").c_str()) ==
                0);
        std::ifstream lines(text);
        std::vector<double> theirs;
        for (double time = 0.0, hz = 0.0; lines >> time >> hz;)
            if (time > 0.4 && time < 0.9)
                theirs.push_back(hz);
        REQUIRE(theirs.size() > 20);
        const double hz = median(theirs), ours = note.measure(0).settled_hz;
        INFO(pitch_name(written) << ": aubiopitch " << hz << " Hz, ours " << ours << ", meant "
                                 << note.notes[0].target_hz);
        CHECK(std::abs(cents_between({hz}, {ours}).value) < 10.0);
        CHECK(std::abs(cents_between({hz}, {note.notes[0].target_hz}).value) < 10.0);
    }
    fs::remove_all(folder);
}

TEST_CASE("the lowest note of the B-flat soprano is D3", "[outside]")
{
    // Written E3 sounds D3: any orchestration handbook. 146.83 Hz: equal temperament on ISO 16's 440 Hz.
    REQUIRE(b_flat_soprano().lowest.number == *pitch_number("E3"));
    RenderSettings settings;
    settings.player = Player::ideal;
    CHECK(std::abs(cents_between({settled_hz(52, settings)}, {146.832}).value) < 2.0);
    CHECK(rendered("tempo 60 mf 1/4 D#3").remarks.size() == 1);
}

TEST_CASE("an orchestra that tunes to 442 is followed by 7.85 cents", "[outside]")
{
    // 1200 log2(442/440).
    for (const Player player : {Player::ideal, Player::studio})
        for (const int written : across_registers) {
            RenderSettings at_440, at_442;
            at_440.player = at_442.player = player;
            at_442.a4 = {442.0};
            const double moved =
                cents_between({settled_hz(written, at_442)}, {settled_hz(written, at_440)}).value;
            CAPTURE(pitch_name(written), int(player));
            CHECK(moved == Approx(7.85).margin(0.5));
        }
}

TEST_CASE("a cold instrument is flat by 3 cents a degree, until the player lips it up", "[outside]")
{
    // The speed of sound follows the root of the absolute temperature: 1200 log2 √(288.15/298.15) = −29.5
    // cents for dry air (any acoustics handbook). Breath is moist: of saturated air 1.68 % is vapour at 15 °C
    // and 3.13 % at 25 °C (steam tables: 1.705 and 3.169 kPa), and each hundredth adds 0.16 % of speed (from
    // memory, to first order), 4.0 cents more.
    const double dry = 600.0 * std::log2(288.15 / 298.15), saturated = dry - 4.0;
    for (const int written : across_registers) {
        const auto moved = [written](double correction) {
            RenderSettings warm, cold;
            warm.player = cold.player = Player::learner;
            Skill own = skill(Player::learner);
            own.correction = correction;
            warm.own_skill = cold.own_skill = own;
            cold.temperature = {15.0};
            return cents_between({settled_hz(written, cold)}, {settled_hz(written, warm)}).value;
        };
        const double bare = moved(0.0), learner = moved(skill(Player::learner).correction);
        INFO(pitch_name(written) << ": " << bare << " cents from 25 to 15 °C, a learner's " << learner);
        CHECK(bare < dry + 0.5);
        CHECK(bare > saturated - 0.5);
        CHECK(learner > bare + 3.0); // helps, within what a learner can
        CHECK(learner < -10.0);
    }
}

TEST_CASE("a published score and its MIDI file from an independent reader are played as the same notes",
          "[outside][reference]")
{
    // L. van Beethoven, Symphony no. 8, third movement, first clarinet: Hauptstimme corpus, CC0.
    const fs::path xml = shared_scores() / "beethoven-op93-3.mxl",
                   midi = shared_scores() / "beethoven-op93-3.verovio.mid";
    if (!fs::exists(xml) || !fs::exists(midi)) {
        WARN("skipped, no reference files");
        return;
    }
    const Line line = part_of(xml, "P5"), other = part_of(midi, "track 6");
    const Rendering whole(b_flat_soprano(), line, {}), whole_other(b_flat_soprano(), other, {});
    CHECK(whole.remarks().empty());
    CHECK(whole_other.remarks().empty());
    REQUIRE(whole.notes().size() == whole_other.notes().size());
    for (std::size_t i = 0; i < whole.notes().size(); ++i) {
        CAPTURE(i);
        CHECK(whole.notes()[i].target_hz == whole_other.notes()[i].target_hz);
        CHECK(std::abs(whole.notes()[i].start_s - whole_other.notes()[i].start_s) < 0.02);
    }
    // The first twenty bars sound, each long note at the pitch that stands there.
    for (const Line& full : {line, other}) {
        const auto cut = rendered(cut_to_bars(full, 1, 20), settings_of(Player::studio));
        CHECK(cut.remarks.empty());
        CHECK(largest(cut.audio) < 1.0f);
        std::size_t heard = 0, settled = 0;
        for (std::size_t i = 0; i < cut.notes.size(); ++i)
            if (cut.notes[i].end_s - cut.notes[i].start_s > 0.2) {
                ++heard;
                settled += cut.measure(i).in_register;
            }
        INFO(settled << " of " << heard << " longer notes settle");
        CHECK(heard > 5);
        CHECK(settled == heard);
    }
}
