// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <stdexcept>
#include <string>
#include <vector>

namespace canebrake
{

/// A device that sound can go to, as a sound system names it.
struct SoundDevice {
    std::string system; ///< "jack", "pulse", "alsa"
    std::string name;
    unsigned number = 0; ///< within the system
    unsigned channels = 0;
    bool usual = false;          ///< the system's own choice
    std::vector<unsigned> rates; ///< samples a second that it offers
};

/// What goes wrong with a device, in one line.
class DeviceError : public std::runtime_error
{
public:
    using std::runtime_error::runtime_error;
};

/// All devices of all sound systems that answer, those first that are asked first: JACK, PulseAudio (and
/// what speaks like it), ALSA. Nothing is printed, whatever the libraries would like to say.
std::vector<SoundDevice> sound_devices();

/// Which of them: empty, the first system's usual one; a whole name; a number as it is listed, from 1; or
/// part of a name that only one has. DeviceError naming what was found and what is there.
SoundDevice choose_device(const std::vector<SoundDevice>&, const std::string& wanted);

/// The rate to play at: `wanted` if the device offers it (DeviceError if not); else 48000 or the nearest it
/// has.
SampleRate choose_rate(const SoundDevice&, std::optional<unsigned> wanted);

/// An open device that pulls mono sound and puts it on its first two channels. With its source, the only
/// file that knows RtAudio (5.2).
///
/// The sound is pulled on the device's own thread. Under PulseAudio nobody says that a block came too late,
/// so that the time between two is measured here. When the sound server goes, the library calls on as fast as
/// it can: the first error stops it. A server that neither takes sound nor goes is told by `silent_s`.
/// Closing never waits longer than two seconds: what a dead server holds fast is left behind.
/// One at a time: the library's error callback carries no owner.
class Device
{
public:
    /// Fills the mono block; must be real-time safe.
    using Pull = void (*)(void* owner, std::span<float>) noexcept;

    /// `delay`: how much sound the device's own buffers hold, about. DeviceError if it cannot be opened.
    Device(const SoundDevice&, SampleRate, Seconds delay, Pull, void* owner);
    ~Device();
    Device(const Device&) = delete;
    Device& operator=(const Device&) = delete;

    /// Begins to pull. DeviceError.
    void start();
    /// Lets what was pulled be heard, then closes.
    void finish();

    std::size_t block() const;  ///< samples it pulls at a time
    Seconds delay() const;      ///< of its buffers, as far as it tells; else what was asked for
    std::uint64_t gaps() const; ///< blocks that came too late, by its own word or by the clock
    /// Why it can go on no longer; empty: it can.
    std::optional<std::string> failure() const;

private:
    struct State;
    std::shared_ptr<State> state_; // a thread that hangs in a dead server keeps its share
};

} // namespace canebrake
