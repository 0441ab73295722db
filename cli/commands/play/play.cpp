// SPDX-License-Identifier: MIT
#include "cli/commands/play/play.h"

#include "cli/audio/device.h"
#include "cli/audio/wav_file.h"
#include "cli/commands/play/bars.h"
#include "cli/commands/play/desk.h"
#include "cli/commands/play/keys.h"
#include "cli/commands/play/screen.h"
#include "cli/options/opened.h"
#include "engine/live/played_part.h"
#include "engine/live/player.h"
#include "engine/part/choose_part.h"
#include "engine/telling/names.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <ostream>

namespace canebrake
{

namespace
{

constexpr std::size_t most_remarks = 10;
constexpr int look_ms = 20; // how often keys, device and recording are looked after

void list(const std::vector<SoundDevice>& devices, const Console& console)
{
    choose_device(devices, ""); // none: says so
    for (std::size_t i = 0; i < devices.size(); ++i) {
        const SoundDevice& device = devices[i];
        std::string rates;
        for (const unsigned rate : device.rates)
            if (rate >= 44100 && rate <= 192000)
                rates += (rates.empty() ? "" : " ") + std::to_string(rate);
        console.out << fmt::format("{:>3}  {}  ({}, {} channel{}{}; {})\n", i + 1, device.name, device.system,
                                   device.channels, device.channels == 1 ? "" : "s",
                                   device.usual ? ", its usual one" : "",
                                   rates.empty() ? "no rate of ours" : rates);
    }
    console.out << std::flush;
}

void say_remarks(const TakeView& view, const Console& console)
{
    for (std::size_t i = 0; i < std::min(view.remarks.size(), most_remarks); ++i)
        console.err << "canebrake: remark: " << view.remarks[i] << '\n';
    if (view.remarks.size() > most_remarks)
        console.err << "canebrake: and " << view.remarks.size() - most_remarks << " more\n";
    console.err << std::flush;
}

std::pair<double, double> stretch_asked_for(const Bars& bars, std::pair<int, int> numbers)
{
    const auto stretch = bars.stretch(numbers.first, numbers.second);
    if (!stretch)
        throw InputError(fmt::format("--loop: found no bars {} to {} in what is played, wanted some that are",
                                     numbers.first, numbers.second),
                         Fault::usage);
    return *stretch;
}

double start_asked_for(const Bars& bars, int bar)
{
    const auto start = bars.start_of(bar);
    if (!start)
        throw InputError(
            fmt::format("--from-bar: found no bar {} in what is played, wanted one that is", bar),
            Fault::usage);
    return *start;
}

/// Takes what went out to the file, block by block.
class Recording
{
public:
    Recording(const std::optional<std::filesystem::path>& path, SampleRate rate)
    {
        if (path)
            writer_.emplace(*path, rate, SampleFormat::float32);
    }
    void fetch(Outlet& outlet)
    {
        while (const Outlet::Recorded* const block = writer_ ? outlet.recorded().front() : nullptr) {
            writer_->write(std::span(block->samples).first(block->count));
            outlet.recorded().drop();
        }
    }
    void finish()
    {
        if (writer_)
            writer_->finish();
    }

private:
    std::optional<WavWriter> writer_;
};

std::string told(const Outlet& outlet, const Device& device, const TakeView& view, SampleRate rate)
{
    const std::uint64_t late = outlet.late_blocks(), gaps = device.gaps();
    std::string text = fmt::format("played {:.1f} s, {}, {}", double(outlet.samples_out()) / rate.value,
                                   view.title, player_name(view.manner.player));
    if (late == 0 && gaps == 0)
        text += "; nothing came late";
    if (late > 0)
        text += fmt::format("; {} block{} came late from the rendering", late, late == 1 ? "" : "s");
    if (gaps > 0)
        text += fmt::format("; the device ran dry {} time{}", gaps, gaps == 1 ? "" : "s");
    if (outlet.limited() > 0)
        text += fmt::format("; {} samples were over the ceiling and limited", outlet.limited());
    return text;
}

void say_what_is_missing(const Outlet& outlet, const Console& console)
{
    if (outlet.not_recorded() > 0)
        console.err << fmt::format(
            "canebrake: the disk was too slow: {} samples are missing from the recording\n",
            outlet.not_recorded());
}

ExitCode play_line(const PlayRequest& request, const Console& console)
{
    Line chosen = choose_part(opened(request).score(), request.part);
    const SoundDevice where = choose_device(sound_devices(), request.device);
    const SampleRate rate = choose_rate(where, request.rate);
    PlayedPart part(std::move(chosen), request, rate);
    auto take = part.make(part.first_manner());
    const std::shared_ptr<const TakeView> first = part.view(0);
    const Bars bars(first->line);
    LivePlayer::Stretch round;
    if (request.round)
        round = stretch_asked_for(bars, *request.round);
    const double from = request.from_bar ? start_asked_for(bars, *request.from_bar)
                        : round          ? round->first
                                         : 0.0;
    Recording recording(request.record, rate);
    say_remarks(*first, console);

    Outlet outlet(rate, float(amplitude(request.gain)), LivePlayer::blocks_needed(rate),
                  request.record.has_value());
    LivePlayer player(std::move(take), from, round, outlet);
    Device device(
        where, rate, request.delay,
        [](void* owner, std::span<float> out) noexcept { static_cast<Outlet*>(owner)->process(out); },
        &outlet);
    player.wait_until_ready({20.0});
    outlet.order({Order::Kind::go});
    device.start();

    std::optional<std::string> failure;
    {
        Keyboard keyboard;
        Screen screen(console.err, console.columns);
        Desk desk(part, player, outlet, device, screen, request, round);
        bool ending = false;
        while (outlet.state() != Outlet::State::over && !(failure = device.failure())) {
            for (const Key& key : keyboard.wait(look_ms))
                desk.obey(key);
            if (!ending && ((console.stop != nullptr && *console.stop) || keyboard.closed() || desk.ends())) {
                outlet.order({Order::Kind::end});
                ending = true;
            }
            recording.fetch(outlet);
            desk.show(keyboard.typing());
        }
    }
    if (!failure)
        device.finish();
    recording.fetch(outlet);
    recording.finish();
    say_what_is_missing(outlet, console);
    const auto complaint = player.complaint();
    const std::string text = told(outlet, device, *part.view(outlet.heard().take), rate);
    if (failure)
        throw DeviceError(*failure + "; " + text);
    if (complaint)
        throw std::runtime_error(*complaint);
    console.out << text << std::endl;
    return ExitCode::done;
}

} // namespace

ExitCode play(const PlayRequest& request, const Console& console)
{
    try {
        if (!request.list_devices)
            return play_line(request, console);
        list(sound_devices(), console);
        return ExitCode::done;
    } catch (const DeviceError& error) {
        console.err << "canebrake: " << error.what() << std::endl;
        return ExitCode::no_sound;
    }
}

} // namespace canebrake
