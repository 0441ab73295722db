// SPDX-License-Identifier: MIT
#include "cli/audio/device.h"

#include <alsa/asoundlib.h>
#include <fmt/format.h>
#include <rtaudio/RtAudio.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <bit>
#include <cctype>
#include <chrono>
#include <cmath>
#include <future>
#include <iostream>
#include <streambuf>
#include <thread>
#include <utility>

namespace canebrake
{

namespace
{

using Clock = std::chrono::steady_clock;
constexpr double patience_s = 3.0; // a server that takes no sound that long is gone
constexpr auto longest_close = std::chrono::seconds(2);
constexpr unsigned longest_block = 512;

constexpr std::array<std::pair<RtAudio::Api, const char*>, 3> systems{{
    {RtAudio::UNIX_JACK, "jack"},
    {RtAudio::LINUX_PULSE, "pulse"},
    {RtAudio::LINUX_ALSA, "alsa"},
}};

void quiet(const char*, int, const char*, int, const char*, ...) {}

/// RtAudio and JACK print to std::cerr from threads of their own. While this is there, only the thread that
/// made it is heard.
class OnlyOurWords : public std::streambuf
{
public:
    OnlyOurWords() : ours_(std::this_thread::get_id()), real_(std::cerr.rdbuf(this)) {}
    ~OnlyOurWords() override { std::cerr.rdbuf(real_); }

protected:
    int overflow(int c) override
    {
        return std::this_thread::get_id() == ours_ && c != EOF ? real_->sputc(char(c)) : 0;
    }
    std::streamsize xsputn(const char* text, std::streamsize n) override
    {
        return std::this_thread::get_id() == ours_ ? real_->sputn(text, n) : n;
    }
    int sync() override { return std::this_thread::get_id() == ours_ ? real_->pubsync() : 0; }

private:
    std::thread::id ours_;
    std::streambuf* real_;
};

std::unique_ptr<RtAudio> opened(RtAudio::Api api)
{
    snd_lib_error_set_handler(quiet);
    auto audio = std::make_unique<RtAudio>(api);
    audio->showWarnings(false);
    return audio;
}

std::string lower(std::string text)
{
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return char(std::tolower(c)); });
    return text;
}

std::string names(const std::vector<SoundDevice>& devices)
{
    std::string all;
    for (std::size_t i = 0; i < devices.size(); ++i)
        all += fmt::format("{}{} '{}'", i == 0 ? "" : ", ", i + 1, devices[i].name);
    return all;
}

} // namespace

std::vector<SoundDevice> sound_devices()
{
    std::vector<SoundDevice> found;
    for (const auto& [api, system] : systems) {
        try {
            const auto audio = opened(api);
            const unsigned count = audio->getDeviceCount();
            const std::size_t first = found.size();
            for (unsigned i = 0; i < count; ++i) {
                const RtAudio::DeviceInfo info = audio->getDeviceInfo(i);
                if (!info.probed || info.outputChannels == 0)
                    continue;
                found.push_back(
                    {system, info.name, i, info.outputChannels, info.isDefaultOutput, info.sampleRates});
            }
            if (std::none_of(found.begin() + std::ptrdiff_t(first), found.end(),
                             [](const auto& d) { return d.usual; }))
                if (found.size() > first)
                    found[first].usual = true; // it does not say
        } catch (const RtAudioError&) {        // this one does not answer: the others may
        }
    }
    return found;
}

SoundDevice choose_device(const std::vector<SoundDevice>& devices, const std::string& wanted)
{
    if (devices.empty())
        throw DeviceError(
            "found no sound device (asked JACK, PulseAudio and ALSA), wanted one: is a sound server "
            "running? canebrake render writes a file instead");
    if (wanted.empty()) {
        const auto usual = std::find_if(devices.begin(), devices.end(), [&](const SoundDevice& d) {
            return d.usual && d.system == devices.front().system;
        });
        return usual != devices.end() ? *usual : devices.front();
    }
    for (const SoundDevice& device : devices)
        if (device.name == wanted)
            return device;
    if (std::all_of(wanted.begin(), wanted.end(), [](unsigned char c) { return std::isdigit(c) != 0; }) &&
        wanted.size() < 4) {
        const auto number = std::size_t(std::stoul(wanted));
        if (number >= 1 && number <= devices.size())
            return devices[number - 1];
    }
    const SoundDevice* only = nullptr;
    std::size_t matching = 0;
    for (const SoundDevice& device : devices)
        if (lower(device.name).find(lower(wanted)) != std::string::npos) {
            only = &device;
            ++matching;
        }
    if (matching != 1)
        throw DeviceError(fmt::format("--device: found '{}', which {}, wanted one of: {}", wanted,
                                      matching == 0 ? "no device is called" : "is part of several names",
                                      names(devices)));
    return *only;
}

SampleRate choose_rate(const SoundDevice& device, std::optional<unsigned> wanted)
{
    std::vector<unsigned> rates;
    for (const unsigned rate : device.rates)
        if (rate >= 44100 && rate <= 192000)
            rates.push_back(rate);
    std::string all;
    for (const unsigned rate : rates)
        all += (all.empty() ? "" : ", ") + std::to_string(rate);
    if (rates.empty())
        throw DeviceError(
            fmt::format("'{}' offers no rate from 44100 to 192000, wanted one that does", device.name));
    if (wanted) {
        if (std::find(rates.begin(), rates.end(), *wanted) == rates.end())
            throw DeviceError(fmt::format("--rate: found {}, which '{}' does not offer, wanted one of: {}",
                                          *wanted, device.name, all));
        return {double(*wanted)};
    }
    return {double(*std::min_element(rates.begin(), rates.end(), [](unsigned a, unsigned b) {
        return std::abs(double(a) - 48000.0) < std::abs(double(b) - 48000.0);
    }))};
}

struct Device::State {
    std::unique_ptr<OnlyOurWords> words; // before the library, so that it goes after
    std::unique_ptr<RtAudio> audio;
    Pull pull = nullptr;
    void* owner = nullptr;
    unsigned channels = 2, frames = longest_block, buffers = 0;
    double rate = 48000.0, delay_s = 0.0;
    std::string name;
    std::atomic<bool> failed{false}, stopping{false};
    std::atomic<std::uint64_t> gaps{0};
    std::atomic<Clock::rep> last{0}; // when it was called
    bool started = false, finished = false;
    double ahead_s = 0.0; // sound in the buffers, by the clock; the callback's own

    static std::atomic<State*> current; // whose stream the library's errors are about
    static void on_error(RtAudioError::Type, const std::string&)
    {
        if (State* const state = current.load())
            state->failed = true;
    }
    static int on_block(void* out, void*, unsigned frames, double, RtAudioStreamStatus status, void* data)
    {
        return static_cast<State*>(data)->fill(static_cast<float*>(out), frames, status);
    }
    int fill(float* out, unsigned count, RtAudioStreamStatus status) noexcept;
};

std::atomic<Device::State*> Device::State::current{nullptr};

int Device::State::fill(float* out, unsigned count, RtAudioStreamStatus status) noexcept
{
    const auto now = Clock::now();
    const auto before = last.exchange(now.time_since_epoch().count(), std::memory_order_relaxed);
    if (failed || stopping) {
        std::fill_n(out, std::size_t(count) * channels, 0.0f);
        return failed ? 2 : 0; // 2: the library stops the stream and waits
    }
    // What the device has played since the last block, against what its buffers held.
    const double since_s =
        before == 0 ? 0.0
                    : std::chrono::duration<double>(now.time_since_epoch() - Clock::duration(before)).count();
    const bool by_clock = before != 0 && since_s > std::max(ahead_s, double(count) / rate);
    if ((status & RTAUDIO_OUTPUT_UNDERFLOW) != 0 || (buffers > 0 && by_clock))
        gaps.fetch_add(1, std::memory_order_relaxed);
    pull(owner, {out, count});
    for (std::size_t i = count; i-- > 0;) // from the end: mono lies where the first frames will
        for (unsigned c = channels; c-- > 0;)
            out[i * channels + c] = c < 2 ? out[i] : 0.0f;
    return 0;
}

Device::Device(const SoundDevice& device, SampleRate rate, Seconds delay, Pull pull, void* owner)
    : state_(std::make_shared<State>())
{
    State& s = *state_;
    s.words = std::make_unique<OnlyOurWords>();
    s.pull = pull;
    s.owner = owner;
    s.rate = rate.value;
    s.name = device.name;
    s.channels = std::min(2u, device.channels);
    const auto api = std::find_if(systems.begin(), systems.end(),
                                  [&](const auto& a) { return a.second == device.system; });
    try {
        s.audio = opened(api->first);
        RtAudio::StreamParameters out;
        out.deviceId = device.number;
        out.nChannels = s.channels;
        RtAudio::StreamOptions options;
        options.streamName = "Canebrake";
        const auto held = unsigned(std::lround(delay.value * rate.value)); // four blocks at least
        s.frames = std::min(longest_block, std::bit_floor(held / 4));
        options.numberOfBuffers = unsigned(std::lround(double(held) / s.frames));
        State::current = &s;
        s.audio->openStream(&out, nullptr, RTAUDIO_FLOAT32, unsigned(rate.value), &s.frames, State::on_block,
                            &s, &options, State::on_error);
        // Only here the library keeps no count of its own.
        s.buffers = device.system == "pulse" ? options.numberOfBuffers : 0;
        s.delay_s = device.system == "pulse" ? double(s.frames) * options.numberOfBuffers / s.rate
                                             : double(s.audio->getStreamLatency()) / s.rate;
        s.ahead_s = double(s.frames) * std::max(2u, options.numberOfBuffers) / s.rate;
    } catch (const RtAudioError& error) {
        State::current = nullptr;
        std::string why = error.getMessage();
        if (const std::size_t colon = why.find(": "); why.starts_with("RtApi") && colon != std::string::npos)
            why = why.substr(colon + 2);
        std::replace(why.begin(), why.end(), '\n', ' ');
        throw DeviceError(fmt::format("'{}' cannot be opened at {:.0f} samples a second: {}", device.name,
                                      rate.value, why));
    }
}

void Device::start()
{
    State& s = *state_;
    s.last = Clock::now().time_since_epoch().count();
    try {
        s.audio->startStream();
        s.started = true;
    } catch (const RtAudioError& error) {
        s.failed = true;
        throw DeviceError(fmt::format("'{}' does not start: {}", s.name, error.getMessage()));
    }
}

void Device::finish()
{
    if (std::exchange(state_->finished, true))
        return;
    // On a thread of its own, with a share of everything: a server that is gone may hold it for ever.
    auto closed = std::make_shared<std::promise<void>>();
    auto future = closed->get_future();
    std::thread([state = state_, closed] {
        try {
            if (state->started && !state->failed && state->audio->isStreamRunning())
                state->audio->stopStream(); // plays out what its buffers hold
            if (state->audio->isStreamOpen())
                state->audio->closeStream();
        } catch (const RtAudioError&) { // it ends in any case
        }
        state->audio.reset();
        closed->set_value();
    }).detach();
    const bool in_time = future.wait_for(longest_close) == std::future_status::ready;
    State::current = nullptr;
    if (in_time)
        state_->words.reset();
    else
        state_->stopping = true; // nothing is pulled any more
}

Device::~Device()
{
    finish();
}

std::size_t Device::block() const
{
    return state_->frames;
}

Seconds Device::delay() const
{
    return {state_->delay_s};
}

std::uint64_t Device::gaps() const
{
    return state_->gaps.load(std::memory_order_relaxed);
}

std::optional<std::string> Device::failure() const
{
    const State& s = *state_;
    if (s.failed)
        return fmt::format("the sound server or '{}' went away while playing", s.name);
    const double silent_s =
        std::chrono::duration<double>(Clock::now().time_since_epoch() - Clock::duration(s.last.load()))
            .count();
    if (s.started && silent_s > patience_s)
        return fmt::format("'{}' has taken no sound for {:.0f} seconds", s.name, patience_s);
    return {};
}

} // namespace canebrake
