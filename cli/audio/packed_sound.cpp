// SPDX-License-Identifier: MIT
#include "cli/audio/packed_sound.h"

#include "models/units/input_error.h"

#include <sndfile.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <memory>
#include <utility>

namespace canebrake
{
namespace
{
/// 0 is the best, 1 the smallest.
constexpr double mp3_quality = 0.2;

/// The file as libsndfile sees it.
struct Memory {
    std::string bytes;
    sf_count_t position = 0;

    static Memory& of(void* self) { return *static_cast<Memory*>(self); }
    static sf_count_t length(void* self) { return sf_count_t(of(self).bytes.size()); }
    static sf_count_t tell(void* self) { return of(self).position; }
    static sf_count_t seek(sf_count_t offset, int whence, void* self)
    {
        Memory& m = of(self);
        m.position = offset + (whence == SEEK_CUR ? m.position : whence == SEEK_END ? length(self) : 0);
        return m.position;
    }
    static sf_count_t read(void* to, sf_count_t count, void* self)
    {
        Memory& m = of(self);
        count = std::clamp<sf_count_t>(length(self) - m.position, 0, count);
        std::memcpy(to, m.bytes.data() + m.position, std::size_t(count));
        m.position += count;
        return count;
    }
    static sf_count_t write(const void* from, sf_count_t count, void* self)
    {
        Memory& m = of(self);
        const auto end = std::size_t(m.position + count);
        if (end > m.bytes.size())
            m.bytes.resize(end);
        std::memcpy(m.bytes.data() + m.position, from, std::size_t(count));
        m.position += count;
        return count;
    }
};

struct CloseSound {
    void operator()(SNDFILE* file) const { sf_close(file); }
};

[[noreturn]] void fail(const std::string& reason)
{
    throw InputError("cannot pack the sound: " + reason, Fault::unwritable);
}

bool mp3_has(int samples_per_s)
{
    constexpr std::array rates{8000, 11025, 12000, 16000, 22050, 24000, 32000, 44100, 48000};
    return std::find(rates.begin(), rates.end(), samples_per_s) != rates.end();
}
} // namespace

PackedSound packed_sound(std::span<const float> samples, SampleRate rate)
{
    if (samples.empty())
        fail("it has no samples");
    SF_INFO info{};
    info.channels = 1;
    info.samplerate = int(std::lround(rate.value));
    info.format = SF_FORMAT_MPEG | SF_FORMAT_MPEG_LAYER_III;
    const bool mp3 = mp3_has(info.samplerate) && sf_format_check(&info) != 0;
    if (!mp3)
        info.format = SF_FORMAT_FLAC | SF_FORMAT_PCM_16;

    SF_VIRTUAL_IO calls{Memory::length, Memory::seek, Memory::read, Memory::write, Memory::tell};
    Memory memory;
    std::unique_ptr<SNDFILE, CloseSound> file(sf_open_virtual(&calls, SFM_WRITE, &info, &memory));
    if (!file)
        fail(sf_strerror(nullptr));
    if (mp3) {
        int mode = SF_BITRATE_MODE_VARIABLE;
        double quality = mp3_quality;
        sf_command(file.get(), SFC_SET_BITRATE_MODE, &mode, sizeof mode);
        sf_command(file.get(), SFC_SET_COMPRESSION_LEVEL, &quality, sizeof quality);
    }
    sf_command(file.get(), SFC_SET_CLIPPING, nullptr, SF_TRUE);

    std::array<float, 4096> block;
    while (!samples.empty()) {
        const std::size_t count = std::min(samples.size(), block.size());
        std::transform(samples.begin(), samples.begin() + std::ptrdiff_t(count), block.begin(),
                       [](float x) { return std::isnan(x) ? 0.0F : std::clamp(x, -1.0F, 1.0F); });
        if (sf_write_float(file.get(), block.data(), sf_count_t(count)) != sf_count_t(count))
            fail(sf_strerror(file.get()));
        samples = samples.subspan(count);
    }
    if (const int error = sf_close(file.release()); error != 0)
        fail(sf_error_number(error));
    return {mp3 ? "audio/mpeg" : "audio/flac", std::move(memory.bytes)};
}

} // namespace canebrake
