// SPDX-License-Identifier: MIT
#include "cli/audio/audio_file.h"

#include "models/units/input_error.h"

#include <sndfile.h>

#include <array>
#include <cerrno>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <memory>
#include <string>

namespace canebrake
{
namespace
{
namespace fs = std::filesystem;

constexpr sf_count_t block_samples = 4096;
constexpr double longest_hours = 12.0;
constexpr int lowest_rate = 4000, highest_rate = 768000;

[[noreturn]] void refuse(const fs::path& path, const std::string& reason)
{
    throw InputError("cannot read " + path.string() + ": " + reason, Fault::unreadable);
}

void check_place(const fs::path& path)
{
    std::error_code error;
    const auto status = fs::status(path, error);
    if (fs::is_directory(status))
        refuse(path, "it is a folder, wanted an audio file");
    if (!fs::exists(status))
        refuse(path, std::strerror(error ? error.value() : ENOENT));
    if (!fs::is_regular_file(status))
        refuse(path, "it is a device or a pipe, wanted a plain file");
    if (fs::file_size(path, error) == 0 && !error)
        refuse(path, "it is empty, wanted an audio file");
}

/// Whether the header promises more sound than the file has. libsndfile goes by the size of a file and only
/// notes the difference; what was written into a pipe promises 2 or 4 GB, which is no promise.
bool breaks_off(SNDFILE* sound)
{
    std::array<char, 8192> log{};
    sf_command(sound, SFC_GET_LOG_INFO, log.data(), int(log.size()));
    const std::string text(log.data());
    const auto at = text.find("data : ");
    if (at == std::string::npos)
        return false;
    const std::string line = text.substr(at + 7, text.find('\n', at) - at - 7);
    const auto other = line.find("(should be ");
    const auto promised = std::strtoull(line.c_str(), nullptr, 10);
    return other != std::string::npos && promised < 0x7FFFF000 &&
           promised > std::strtoull(line.c_str() + other + 11, nullptr, 10);
}
} // namespace

Audio read_audio(const fs::path& path)
{
    check_place(path);
    SF_INFO info{};
    errno = 0;
    const std::unique_ptr<SNDFILE, int (*)(SNDFILE*)> sound(sf_open(path.c_str(), SFM_READ, &info), sf_close);
    if (!sound)
        refuse(path, sf_error(nullptr) == SF_ERR_SYSTEM && errno
                         ? std::string(std::strerror(errno))
                         : "it is not audio we know, wanted WAV, FLAC, Ogg, MP3 or the like");
    if (info.channels < 1 || info.samplerate < lowest_rate || info.samplerate > highest_rate)
        refuse(path, "it has " + std::to_string(info.samplerate) + " samples a second, wanted " +
                         std::to_string(lowest_rate) + " to " + std::to_string(highest_rate));
    const auto longest = sf_count_t(longest_hours * 3600.0) * info.samplerate;
    const auto too_long = [&] {
        refuse(path, "it is over " + std::to_string(int(longest_hours)) + " hours long");
    };
    const bool known_length = info.frames > 0 && info.frames < SF_COUNT_MAX;
    if (known_length && info.frames > longest)
        too_long();
    if (breaks_off(sound.get()))
        refuse(path, "it breaks off or is damaged");
    Audio audio;
    audio.rate.value = double(info.samplerate);
    const auto channels = std::size_t(info.channels);
    std::vector<float> frames(std::size_t(block_samples) * channels);
    for (sf_count_t got; (got = sf_readf_float(sound.get(), frames.data(), block_samples)) > 0;) {
        if (sf_count_t(audio.samples.size()) + got > longest)
            too_long();
        for (std::size_t i = 0; i < std::size_t(got); ++i) {
            double sum = 0.0;
            for (std::size_t c = 0; c < channels; ++c)
                sum += double(frames[i * channels + c]);
            audio.samples.push_back(std::isfinite(sum) ? float(sum / double(channels)) : 0.0F);
        }
    }
    if (sf_error(sound.get()) != SF_ERR_NO_ERROR ||
        (known_length && sf_count_t(audio.samples.size()) < info.frames))
        refuse(path, "it breaks off or is damaged");
    if (audio.samples.empty())
        refuse(path, "there is no sound in it");
    return audio;
}

} // namespace canebrake
