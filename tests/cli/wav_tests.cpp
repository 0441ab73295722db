// SPDX-License-Identifier: MIT
// Files written by WavWriter: read back by libsndfile, and byte by byte against the RIFF WAVE layout
// (Microsoft and IBM, "Multimedia Programming Interface and Data Specifications 1.0", 1991) and RF64 (EBU
// Tech 3306, 2009).
#include "cli/audio/audio_file.h"
#include "cli/audio/wav_file.h"
#include "models/units/input_error.h"

#include <catch2/catch.hpp>
#include <sndfile.h>

#include <algorithm>
#include <cmath>
#include <csignal>
#include <fstream>
#include <limits>
#include <sys/resource.h>
#include <unistd.h>

using namespace canebrake;
namespace fs = std::filesystem;

namespace
{
constexpr SampleRate rate{48000.0};

/// A folder of its own for each case, gone at the end.
struct Folder {
    Folder()
    {
        static int made = 0;
        path = fs::temp_directory_path() /
               ("canebrake-wav-" + std::to_string(::getpid()) + "-" + std::to_string(made++));
        fs::create_directories(path);
    }
    ~Folder()
    {
        fs::permissions(path, fs::perms::owner_all);
        fs::remove_all(path);
    }
    std::size_t entries() const
    {
        return std::size_t(std::distance(fs::directory_iterator(path), fs::directory_iterator()));
    }
    fs::path path;
};

std::string bytes_of(const fs::path& path)
{
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}
std::uint32_t word(const std::string& bytes, std::size_t at, int size)
{
    std::uint32_t value = 0;
    for (int i = 0; i < size; ++i)
        value |= std::uint32_t(static_cast<unsigned char>(bytes.at(at + std::size_t(i)))) << (8 * i);
    return value;
}
std::vector<float> wave(std::size_t count, double amplitude)
{
    std::vector<float> samples(count);
    for (std::size_t n = 0; n < count; ++n)
        samples[n] = float(amplitude * std::sin(0.031 * double(n) + 0.1));
    return samples;
}
void write_file(const fs::path& path, std::span<const float> samples, SampleFormat format,
                std::size_t block = 1000000, std::uint64_t limit = WavWriter::plain_limit)
{
    WavWriter writer(path, rate, format, limit);
    for (std::size_t at = 0; at < samples.size(); at += block)
        writer.write(samples.subspan(at, std::min(block, samples.size() - at)));
    writer.finish();
}
/// The one line an unwritable destination is refused with; empty if it was not refused.
template <class Work> std::string refusal(Work work, Fault wanted = Fault::unwritable)
{
    try {
        work();
    } catch (const InputError& error) {
        CHECK(error.fault() == wanted);
        CHECK(std::string(error.what()).find('\n') == std::string::npos);
        return error.what();
    }
    return {};
}
} // namespace

TEST_CASE("what is written is read back, at each format's own precision", "[wav]")
{
    Folder folder;
    const auto samples = wave(10000, 0.8);
    struct Row {
        SampleFormat format;
        double worst; // 16 bit: half a step of rounding, one of dither; 24 bit: half a step
        int subformat;
    };
    for (const Row row : {Row{SampleFormat::pcm16, 1.5 / 32768, SF_FORMAT_PCM_16},
                          Row{SampleFormat::pcm24, 0.51 / 8388608, SF_FORMAT_PCM_24},
                          Row{SampleFormat::float32, 0.0, SF_FORMAT_FLOAT}}) {
        const auto path = folder.path / "line.wav";
        write_file(path, samples, row.format, 777);
        const auto back = read_audio(path);
        CHECK(back.rate == rate);
        REQUIRE(back.samples.size() == samples.size());
        double worst = 0.0;
        for (std::size_t n = 0; n < samples.size(); ++n)
            worst = std::max(worst, std::abs(double(back.samples[n]) - double(samples[n])));
        CHECK(worst <= row.worst);
        SF_INFO info{};
        SNDFILE* file = sf_open(path.c_str(), SFM_READ, &info);
        REQUIRE(file != nullptr);
        CHECK(info.format == (SF_FORMAT_WAV | row.subformat));
        CHECK(info.channels == 1);
        sf_close(file);
    }
    CHECK(folder.entries() == 1);
}

TEST_CASE("the header is that of a plain WAV", "[wav]")
{
    Folder folder;
    write_file(folder.path / "a.wav", wave(1000, 0.5), SampleFormat::pcm16);
    const auto bytes = bytes_of(folder.path / "a.wav");
    CHECK(bytes.size() == 44 + 2000);
    CHECK(bytes.substr(0, 4) + bytes.substr(8, 8) + bytes.substr(36, 4) == "RIFFWAVEfmt data");
    CHECK(word(bytes, 4, 4) == bytes.size() - 8);
    CHECK(word(bytes, 20, 2) == 1); // WAVE_FORMAT_PCM
    CHECK(word(bytes, 22, 2) == 1);
    CHECK(word(bytes, 24, 4) == 48000);
    CHECK(word(bytes, 34, 2) == 16);
    CHECK(word(bytes, 40, 4) == 2000);
}

TEST_CASE("the same samples make the same bytes, however they are cut and whenever", "[wav][invariant]")
{
    Folder folder;
    const auto samples = wave(20000, 0.3);
    for (const auto format : {SampleFormat::pcm16, SampleFormat::pcm24, SampleFormat::float32}) {
        write_file(folder.path / "a.wav", samples, format);
        ::usleep(1100000); // a chunk with the time in it would differ by now
        write_file(folder.path / "b.wav", samples, format, 333);
        CHECK(bytes_of(folder.path / "a.wav") == bytes_of(folder.path / "b.wav"));
    }
}

TEST_CASE("dither is triangular, without tone, and leaves silence silent", "[wav]")
{
    Folder folder;
    const auto path = folder.path / "a.wav";
    write_file(path, std::vector<float>(50000, 0.0F), SampleFormat::pcm16);
    const auto silent = read_audio(path).samples;
    CHECK(std::all_of(silent.begin(), silent.end(), [](float x) { return x == 0.0F; }));

    // A constant a third of a step up: undithered it would vanish; dithered, its mean stays, and the error's
    // variance is that of rounding (1/12) and of the dither (1/6) together, a quarter of a step squared
    // (Lipshitz, Wannamaker and Vanderkooy 1992).
    write_file(path, std::vector<float>(200000, float(1.0 / 3.0 / 32768.0)), SampleFormat::pcm16);
    double mean = 0.0, square = 0.0;
    const auto dithered = read_audio(path).samples;
    for (const float x : dithered) {
        const double steps = double(x) * 32768.0 - 1.0 / 3.0;
        mean += steps / double(dithered.size());
        square += steps * steps / double(dithered.size());
    }
    CHECK(mean == Approx(0.0).margin(0.005));
    CHECK(square == Approx(0.25).margin(0.005));
}

TEST_CASE("integer formats clip, and what is no number is silent", "[wav]")
{
    Folder folder;
    const float infinity = std::numeric_limits<float>::infinity();
    const std::vector<float> samples{1.5F, -1.5F, infinity, -infinity, std::nanf("")};
    for (const auto format : {SampleFormat::pcm16, SampleFormat::pcm24}) {
        write_file(folder.path / "a.wav", samples, format);
        const auto back = read_audio(folder.path / "a.wav").samples;
        CHECK(back[0] == Approx(1.0).margin(1e-4));
        CHECK(back[1] == -1.0F);
        CHECK(back[2] == back[0]);
        CHECK(back[3] == -1.0F);
        CHECK(back[4] == 0.0F);
    }
}

TEST_CASE("without finish nothing remains, and an old file stays as it was", "[wav]")
{
    Folder folder;
    const auto path = folder.path / "line.wav";
    std::ofstream(path) << "old";
    {
        WavWriter writer(path, rate, SampleFormat::pcm16);
        writer.write(wave(100000, 0.5));
        CHECK(folder.entries() == 2);
        CHECK(bytes_of(path) == "old");
    }
    CHECK(folder.entries() == 1);
    CHECK(bytes_of(path) == "old");
    write_file(path, wave(100, 0.5), SampleFormat::pcm16);
    CHECK(folder.entries() == 1);
    CHECK(bytes_of(path).size() == 244);
    const auto link = folder.path / "link.wav"; // a link is followed, not replaced
    fs::create_symlink(path, link);
    write_file(link, wave(200, 0.5), SampleFormat::pcm16);
    CHECK(fs::is_symlink(link));
    CHECK(bytes_of(path).size() == 444);
}

TEST_CASE("a destination that cannot be written is refused in one line that says why", "[wav][words]")
{
    Folder folder;
    const auto write_to = [](const fs::path& path) {
        return refusal([&] { write_file(path, wave(1000, 0.5), SampleFormat::pcm16); });
    };
    const auto missing = folder.path / "none" / "a.wav";
    CHECK(write_to(missing) ==
          "cannot write " + missing.string() + ": there is no folder " + missing.parent_path().string());
    CHECK(write_to(folder.path) ==
          "cannot write " + folder.path.string() + ": it is a folder, wanted a file");
    CHECK(write_to("/dev/full") == "cannot write /dev/full: it is a device or a pipe, wanted a plain file");
    CHECK(fs::is_character_file("/dev/full"));
    CHECK(write_to("") == "cannot write : it names no file");
    std::ofstream(folder.path / "plain") << "x";
    CHECK(write_to(folder.path / "plain" / "a.wav").find("there is no folder") != std::string::npos);
    CHECK(folder.entries() == 1);
}

TEST_CASE("a read-only folder is refused", "[wav][words]")
{
    Folder folder;
    fs::permissions(folder.path, fs::perms::owner_read | fs::perms::owner_exec | fs::perms::others_exec);
    const bool root = ::geteuid() == 0; // whom no permission stops: be nobody for a moment
    if (root)
        REQUIRE(::seteuid(65534) == 0);
    const auto said =
        refusal([&] { write_file(folder.path / "a.wav", wave(1000, 0.5), SampleFormat::pcm16); });
    if (root)
        REQUIRE(::seteuid(0) == 0);
    CHECK(said == "cannot write " + (folder.path / "a.wav").string() + ": Permission denied");
    CHECK(folder.entries() == 0);
}

TEST_CASE("a disk that fills up is said, and leaves nothing", "[wav][words]")
{
    // Stands for a full disk: the system's own limit on the size of a file, which fails the same call.
    Folder folder;
    rlimit before{};
    REQUIRE(::getrlimit(RLIMIT_FSIZE, &before) == 0);
    const auto old_handler = std::signal(SIGXFSZ, SIG_IGN);
    rlimit small = before;
    small.rlim_cur = 100000;
    REQUIRE(::setrlimit(RLIMIT_FSIZE, &small) == 0);
    std::string said;
    for (const auto format : {SampleFormat::pcm16, SampleFormat::pcm24, SampleFormat::float32}) {
        said = refusal([&] { write_file(folder.path / "a.wav", wave(100000, 0.5), format, 5000); });
        ::setrlimit(RLIMIT_FSIZE, &before);
        CHECK(said == "cannot write " + (folder.path / "a.wav").string() + ": File too large");
        CHECK(folder.entries() == 0);
        ::setrlimit(RLIMIT_FSIZE, &small);
    }
    ::setrlimit(RLIMIT_FSIZE, &before);
    std::signal(SIGXFSZ, old_handler);
}

TEST_CASE("a file too long for a plain WAV becomes RF64 with the same samples", "[wav]")
{
    // The limit is lowered from 4 GB to 30 kB, or this would take a while.
    Folder folder;
    const auto samples = wave(40000, 0.7);
    struct Row {
        SampleFormat format;
        double worst;
    };
    for (const Row row : {Row{SampleFormat::pcm16, 1.5 / 32768}, Row{SampleFormat::pcm24, 0.51 / 8388608},
                          Row{SampleFormat::float32, 0.0}}) {
        write_file(folder.path / "a.wav", samples, row.format, 5000, 30000);
        const auto bytes = bytes_of(folder.path / "a.wav");
        CHECK(bytes.substr(0, 4) == "RF64");
        CHECK(bytes.substr(8, 8) == "WAVEds64");
        CHECK(word(bytes, 20, 4) == bytes.size() - 8);
        const auto back = read_audio(folder.path / "a.wav").samples;
        REQUIRE(back.size() == samples.size());
        double worst = 0.0;
        for (std::size_t n = 0; n < samples.size(); ++n)
            worst = std::max(worst, std::abs(double(back[n]) - double(samples[n])));
        CHECK(worst <= row.worst);
        ::usleep(1100000);
        write_file(folder.path / "b.wav", samples, row.format, 5000, 30000);
        CHECK(bytes == bytes_of(folder.path / "b.wav"));
        CHECK(folder.entries() == 2);
    }
}

namespace
{
/// Some format of libsndfile's, written by libsndfile.
void write_as(const fs::path& path, int format, std::span<const float> frames, int channels = 1,
              int hz = 44100)
{
    SF_INFO info{};
    info.samplerate = hz;
    info.channels = channels;
    info.format = format;
    SNDFILE* file = sf_open(path.c_str(), SFM_WRITE, &info);
    REQUIRE(file != nullptr);
    sf_writef_float(file, frames.data(), sf_count_t(frames.size()) / channels);
    sf_close(file);
}
std::string read_refusal(const fs::path& path)
{
    const std::string said = refusal([&] { read_audio(path); }, Fault::unreadable);
    const std::string start = "cannot read " + path.string() + ": ";
    return said.rfind(start, 0) == 0 ? said.substr(start.size()) : "?? " + said;
}
void put(std::string& bytes, std::size_t at, std::uint32_t value)
{
    for (std::size_t i = 0; i < 4; ++i)
        bytes.at(at + i) = char(value >> (8 * i));
}
void write_bytes(const fs::path& path, const std::string& bytes)
{
    std::ofstream(path, std::ios::binary | std::ios::trunc) << bytes;
}
const std::string unknown = "it is not audio we know, wanted WAV, FLAC, Ogg, MP3 or the like";
const std::string broken = "it breaks off or is damaged";
} // namespace

TEST_CASE("several channels are averaged, and what is no number is silent", "[wav]")
{
    Folder folder;
    const std::vector<float> frames{0.5F, 0.25F, -1.0F, 1.0F, std::nanf(""), 0.5F};
    write_as(folder.path / "two.wav", SF_FORMAT_WAV | SF_FORMAT_FLOAT, frames, 2);
    const auto back = read_audio(folder.path / "two.wav");
    CHECK(back.rate.value == 44100.0);
    CHECK(back.samples == std::vector<float>{0.375F, 0.0F, 0.0F});
}

TEST_CASE("what people record in is read: WAV, AIFF, FLAC, Ogg, MP3", "[wav]")
{
    Folder folder;
    const auto samples = wave(44100, 0.5);
    struct Row {
        std::string name;
        int format;
        double worst;     // of a sample
        std::size_t more; // samples a lossy format may add
    };
    for (const Row& row : {Row{"a.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16, 1.01 / 32768, 0},
                           Row{"a.wav", SF_FORMAT_WAV | SF_FORMAT_ULAW, 0.02, 0},
                           Row{"a.aiff", SF_FORMAT_AIFF | SF_FORMAT_PCM_24, 2e-7, 0},
                           Row{"a.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_16, 1.01 / 32768, 0},
                           Row{"a.ogg", SF_FORMAT_OGG | SF_FORMAT_VORBIS, 0.05, 0},
                           Row{"a.mp3", SF_FORMAT_MPEG | SF_FORMAT_MPEG_LAYER_III, 0.05, 2304}}) {
        CAPTURE(row.name, row.format);
        write_as(folder.path / row.name, row.format, samples);
        const auto back = read_audio(folder.path / row.name);
        CHECK(back.rate.value == 44100.0);
        CHECK(back.samples.size() >= samples.size());
        CHECK(back.samples.size() <= samples.size() + row.more);
        double worst = 0.0;
        for (std::size_t n = 4000; n < 40000; ++n)
            worst = std::max(worst, std::abs(double(back.samples[n]) - double(samples[n])));
        CHECK(worst <= row.worst);
    }
}

TEST_CASE("what cannot be read is refused in one line that says why", "[wav][words]")
{
    Folder folder;
    CHECK(read_refusal(folder.path / "none.wav") == "No such file or directory");
    CHECK(read_refusal(folder.path) == "it is a folder, wanted an audio file");
    CHECK(read_refusal("/dev/null") == "it is a device or a pipe, wanted a plain file");
    const auto path = folder.path / "a.wav";
    write_bytes(path, "not audio at all");
    CHECK(read_refusal(path) == unknown);
    write_bytes(path, "");
    CHECK(read_refusal(path) == "it is empty, wanted an audio file");
    write_as(path, SF_FORMAT_WAV | SF_FORMAT_PCM_16, {});
    CHECK(read_refusal(path) == "there is no sound in it");
    write_as(path, SF_FORMAT_WAV | SF_FORMAT_PCM_16, wave(100, 0.5), 1, 1000);
    CHECK(read_refusal(path) == "it has 1000 samples a second, wanted 4000 to 768000");
}

TEST_CASE("a file that breaks off is refused, wherever it was cut", "[wav][words]")
{
    Folder folder;
    const auto samples = wave(44100, 0.5);
    for (const auto& [name, format] : {std::pair<std::string, int>{"a.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16},
                                       {"a.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_16}}) {
        const auto path = folder.path / name;
        write_as(path, format, samples);
        const std::string whole = bytes_of(path);
        CHECK(read_audio(path).samples.size() == samples.size());
        for (const double share : {0.9, 0.5, 0.1}) {
            CAPTURE(name, share);
            write_bytes(path, whole.substr(0, std::size_t(share * double(whole.size()))));
            CHECK(read_refusal(path) == broken);
        }
        write_bytes(path, whole.substr(0, 6));
        CHECK(read_refusal(path) == unknown);
    }
}

TEST_CASE("a WAV whose length was never filled in is read to its end", "[wav]")
{
    // So programs write that send their WAV down a pipe: sizes as large as can be said.
    Folder folder;
    const auto path = folder.path / "a.wav";
    write_as(path, SF_FORMAT_WAV | SF_FORMAT_PCM_16, wave(5000, 0.5));
    const std::string whole = bytes_of(path);
    REQUIRE(whole.substr(36, 4) == "data");
    for (const std::uint32_t size : {0xFFFFFFFFu, 0x7FFFF000u}) {
        CAPTURE(size);
        std::string piped = whole;
        put(piped, 4, size);
        put(piped, 40, size);
        write_bytes(path, piped);
        CHECK(read_audio(path).samples.size() == 5000);
    }
}

TEST_CASE("more than twelve hours are refused by the header alone", "[wav][words]")
{
    Folder folder;
    const auto path =
        folder.path / "a.wav"; // 8 bits, 4000 a second, with a hole instead of 12 hours of sound
    write_as(path, SF_FORMAT_WAV | SF_FORMAT_PCM_U8, wave(100, 0.5), 1, 4000);
    std::string header = bytes_of(path).substr(0, 44);
    const std::uint32_t bytes = 12 * 3600 * 4000 + 4000;
    put(header, 4, bytes + 36);
    put(header, 40, bytes);
    write_bytes(path, header);
    fs::resize_file(path, 44 + bytes);
    CHECK(read_refusal(path) == "it is over 12 hours long");
}
