// SPDX-License-Identifier: MIT
#include "cli/audio/wav_file.h"

#include "engine/storage/whole_file.h"
#include "models/units/input_error.h"

#include <sndfile.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cmath>
#include <cstring>
#include <string>
#include <unistd.h>
#include <utility>
#include <vector>

namespace canebrake
{
namespace
{
namespace fs = std::filesystem;

constexpr std::size_t block_samples = 4096;

[[noreturn]] void fail(const fs::path& path, const std::string& reason)
{
    throw InputError("cannot write " + path.string() + ": " + reason, Fault::unwritable);
}

std::string reason_of(int error)
{
    return std::strerror(error);
}

struct CloseSound {
    void operator()(SNDFILE* file) const { sf_close(file); }
};
using Sound = std::unique_ptr<SNDFILE, CloseSound>;

int encoding(SampleFormat format)
{
    switch (format) {
    case SampleFormat::pcm16:
        return SF_FORMAT_PCM_16;
    case SampleFormat::pcm24:
        return SF_FORMAT_PCM_24;
    case SampleFormat::float32:
        break;
    }
    return SF_FORMAT_FLOAT;
}

std::uint64_t bytes_per_sample(SampleFormat format)
{
    return format == SampleFormat::pcm16 ? 2 : format == SampleFormat::pcm24 ? 3 : 4;
}

} // namespace

struct WavWriter::State {
    State(const fs::path& path, SampleRate rate, SampleFormat format, std::uint64_t limit)
        : destination(path), format(format), samples_per_s(int(std::lround(rate.value))), plain_limit(limit),
          file(std::make_unique<WholeFile>(destination)), sound(open(SF_FORMAT_WAV, *file))
    {
    }

    Sound open(int container, const WholeFile& where) const
    {
        SF_INFO info{};
        info.samplerate = samples_per_s;
        info.channels = 1;
        info.format = container | encoding(format);
        errno = 0;
        Sound opened(sf_open_fd(where.descriptor(), SFM_WRITE, &info, SF_FALSE));
        if (!opened)
            fail(destination, errno ? reason_of(errno) : sf_strerror(nullptr));
        sf_command(opened.get(), SFC_SET_ADD_PEAK_CHUNK, nullptr, SF_FALSE); // it would hold the time of day
        return opened;
    }

    void check(bool good)
    {
        if (!good)
            fail(destination, errno ? reason_of(errno) : sf_strerror(sound.get()));
    }

    void close()
    {
        errno = 0;
        if (const int error = sf_close(sound.release()); error != 0)
            fail(destination, errno ? reason_of(errno) : sf_error_number(error));
    }

    /// Goes on as RF64: what is there is copied, byte for byte.
    void widen()
    {
        close();
        auto wider = std::make_unique<WholeFile>(destination);
        Sound to = open(SF_FORMAT_RF64, *wider);
        SF_INFO info{};
        if (::lseek(file->descriptor(), 0, SEEK_SET) != 0)
            fail(destination, reason_of(errno));
        Sound from(sf_open_fd(file->descriptor(), SFM_READ, &info, SF_FALSE));
        if (!from)
            fail(destination, sf_strerror(nullptr));
        std::vector<char> bytes(std::size_t(bytes_per_sample(format)) * 65536);
        for (sf_count_t got; (got = sf_read_raw(from.get(), bytes.data(), sf_count_t(bytes.size()))) > 0;) {
            errno = 0;
            if (sf_write_raw(to.get(), bytes.data(), got) != got)
                fail(destination, errno ? reason_of(errno) : sf_strerror(to.get()));
        }
        from.reset();
        sound = std::move(to);
        file = std::move(wider);
        plain = false;
    }

    /// libsndfile 1.2.0 writes a PEAK chunk into RF64 whatever it is told; its time of day is set to 0.
    void blank_peak_time() const
    {
        std::array<char, 256> head{};
        const auto got = ::pread(file->descriptor(), head.data(), head.size(), 0);
        constexpr std::array<char, 4> name{'P', 'E', 'A', 'K'};
        const auto end = head.begin() + std::max<std::ptrdiff_t>(got, 0);
        const auto at = std::search(head.begin(), end, name.begin(), name.end());
        constexpr std::array<char, 4> zero{};
        // name, size, version, then the time
        if (at != end && ::pwrite(file->descriptor(), zero.data(), zero.size(), at - head.begin() + 12) != 4)
            fail(destination, reason_of(errno));
    }

    /// Two uniform numbers apart, ±1 step: triangular (S. P. Lipshitz, R. A. Wannamaker and J. Vanderkooy,
    /// "Quantization and dither: a theoretical survey", JAES 40, 1992).
    double dither()
    {
        const auto uniform = [this] { // SplitMix64, of which the upper 53 bits are taken
            std::uint64_t z = (seed += 0x9E3779B97F4A7C15ULL);
            z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
            return double((z ^ (z >> 31)) >> 11) * 0x1.0p-53;
        };
        const double first = uniform();
        return first - uniform();
    }

    void write_block(std::span<const float> samples)
    {
        const auto count = sf_count_t(samples.size());
        const auto step = [](double x, double full) {
            return std::clamp(std::nearbyint(x), -full, full - 1.0);
        };
        std::array<float, block_samples> clean;
        for (std::size_t i = 0; i < samples.size(); ++i)
            clean[i] = std::isnan(samples[i]) ? 0.0F : samples[i];
        errno = 0;
        if (format == SampleFormat::pcm16) {
            std::array<short, block_samples> out;
            for (std::size_t i = 0; i < samples.size(); ++i)
                out[i] =
                    clean[i] == 0.0F ? short(0) : short(step(double(clean[i]) * 0x1p15 + dither(), 0x1p15));
            check(sf_write_short(sound.get(), out.data(), count) == count);
        } else if (format == SampleFormat::pcm24) {
            std::array<int, block_samples> out;
            for (std::size_t i = 0; i < samples.size(); ++i)
                out[i] = int(step(double(clean[i]) * 0x1p23, 0x1p23)) * 256;
            check(sf_write_int(sound.get(), out.data(), count) == count);
        } else {
            check(sf_write_float(sound.get(), clean.data(), count) == count);
        }
        bytes += bytes_per_sample(format) * samples.size();
    }

    fs::path destination;
    SampleFormat format;
    int samples_per_s;
    std::uint64_t plain_limit, bytes = 0, seed = 1;
    bool plain = true;
    std::unique_ptr<WholeFile> file;
    Sound sound; // after `file`: closed before it
};

WavWriter::WavWriter(const fs::path& destination, SampleRate rate, SampleFormat format,
                     std::uint64_t plain_limit_bytes)
    : state_(std::make_unique<State>(destination, rate, format, plain_limit_bytes))
{
}

WavWriter::~WavWriter() = default;

void WavWriter::write(std::span<const float> samples)
{
    State& s = *state_;
    while (!samples.empty()) {
        const auto block = samples.first(std::min(samples.size(), block_samples));
        if (s.plain && s.bytes + bytes_per_sample(s.format) * block.size() > s.plain_limit)
            s.widen();
        s.write_block(block);
        samples = samples.subspan(block.size());
    }
}

void WavWriter::finish()
{
    state_->close();
    if (!state_->plain)
        state_->blank_peak_time();
    state_->file->finish();
}

} // namespace canebrake
