// SPDX-License-Identifier: MIT
// The room: what it promises, and that it leaves the player alone.
#include "engine/room/convolver.h"
#include "tests/engine/rendered.h"

#include <catch2/catch.hpp>
#include <kissfft/kissfft.hh>

#include <cmath>
#include <complex>
#include <numbers>
#include <random>

using namespace canebrake;

namespace
{

/// One octave of a response, without a shift in time.
std::vector<double> octave(const std::vector<double>& response, double centre_hz, double rate)
{
    std::size_t size = 1;
    while (size < 2 * response.size())
        size *= 2;
    std::vector<std::complex<double>> time(size), spectrum(size);
    std::copy(response.begin(), response.end(), time.begin());
    kissfft<double>(size, false).transform(time.data(), spectrum.data());
    for (std::size_t k = 0; k < size; ++k) {
        const double hz = double(std::min(k, size - k)) * rate / double(size);
        const double off = std::abs(std::log2(std::max(hz, 1.0) / centre_hz)); // octaves
        spectrum[k] *= off < 0.5 ? 1.0 : off < 0.6 ? std::cos(5.0 * std::numbers::pi * (off - 0.5)) : 0.0;
    }
    kissfft<double>(size, true).transform(spectrum.data(), time.data());
    std::vector<double> band(response.size());
    for (std::size_t n = 0; n < band.size(); ++n)
        band[n] = time[n].real() / double(size);
    return band;
}

/// T30: the slope from −5 to −35 dB of the energy still to come (M. R. Schroeder, JASA 37, 1965, 409;
/// ISO 3382-1), by least squares, as the time for 60 dB.
double t30(const std::vector<double>& response, double rate)
{
    std::vector<double> rest(response.size());
    double sum = 0.0;
    for (std::size_t n = response.size(); n-- > 0;)
        rest[n] = sum += response[n] * response[n];
    double count = 0.0, t1 = 0.0, t2 = 0.0, l1 = 0.0, tl = 0.0;
    for (std::size_t n = 0; n < rest.size(); ++n) {
        const double level = 10.0 * std::log10(rest[n] / rest[0]);
        if (level > -5.0 || level < -35.0)
            continue;
        const double t = double(n) / rate;
        count += 1.0, t1 += t, t2 += t * t, l1 += level, tl += t * level;
    }
    return -60.0 * (count * t2 - t1 * t1) / (count * tl - t1 * l1);
}

const char* name_of(Room room)
{
    return room == Room::small ? "small" : "large";
}

} // namespace

TEST_CASE("a room reverberates as long as it promises, in every octave", "[room][outside]")
{
    // C. F. Eyring, JASA 1 (1930) 217, for the promise; ISO 3382-1 for how it is measured. Within 10 %.
    for (const Room room : {Room::small, Room::large})
        for (const double rate : {44100.0, 48000.0, 96000.0}) {
            const RoomDesign& design = room_design(room);
            const auto response = room_response(design, {rate});
            std::string measured;
            for (std::size_t band = 1; band + 1 < room_bands_hz.size(); ++band) {
                const double promised = design.reverberation_s(band);
                const double heard = t30(octave(response, room_bands_hz[band], rate), rate);
                char text[64];
                std::snprintf(text, sizeof text, " %.0f Hz %.2f (%.2f)", room_bands_hz[band], heard,
                              promised);
                measured += text;
                CAPTURE(name_of(room), rate, room_bands_hz[band]);
                CHECK(heard == Approx(promised).epsilon(0.10));
            }
            if (rate == 48000.0)
                WARN("measured, " << name_of(room) << ", seconds (promised):" << measured);
        }
}

TEST_CASE("as much comes back from the walls as theory says", "[room][outside]")
{
    // H. Kuttruff, Room Acoustics (from memory): reverberant over direct energy is 16 π r² / (Q A), with A
    // the absorbing area in Eyring's form. The box is no diffuse field: within 2 dB.
    for (const Room room : {Room::small, Room::large}) {
        const RoomDesign& design = room_design(room);
        double energy = 0.0;
        for (const double x : octave(room_response(design, {48000.0}), 1000.0, 48000.0))
            energy += x * x;
        std::vector<double> impulse(4096, 0.0);
        impulse[2048] = 1.0;
        double whole = 0.0;
        for (const double x : octave(impulse, 1000.0, 48000.0))
            whole += x * x;
        energy /= whole;
        const double area =
            24.0 * std::numbers::ln10 / 344.0 * design.volume_m3() / design.reverberation_s(3);
        const double r = design.distance_m();
        const double wanted = 16.0 * std::numbers::pi * r * r / (design.directivity * area);
        const double off_db = 10.0 * std::log10(energy / wanted);
        WARN("measured, " << name_of(room) << ": " << 10.0 * std::log10(energy) << " dB re direct, " << off_db
                          << " from theory");
        CHECK(std::abs(off_db) < 2.0);
        CHECK(energy < 1.0); // what is heard is the player in a room, not the room
    }
}

TEST_CASE("the stream equals the sum it stands for, however it is cut", "[room]")
{
    std::mt19937 random(7);
    std::uniform_real_distribution<double> any(-1.0, 1.0);
    std::vector<double> response(2500);
    std::vector<float> sound(5000);
    for (double& x : response)
        x = any(random) * 0.1;
    for (float& x : sound)
        x = float(any(random));
    std::vector<float> whole, pieces;
    Convolver one(response), other(response);
    one.process(sound, whole);
    for (std::size_t at = 0, step = 1; at < sound.size(); at += step, step = step * 3 % 701 + 1)
        other.process(std::span(sound).subspan(at, std::min(step, sound.size() - at)), pieces);
    CHECK(whole == pieces);
    REQUIRE(whole.size() >= 4000);
    for (std::size_t n = 0; n < whole.size(); n += 37) {
        double sum = sound[n];
        for (std::size_t k = 0; k <= std::min(n, response.size() - 1); ++k)
            sum += response[k] * double(sound[n - k]);
        CHECK(whole[n] == Approx(sum).margin(1e-5));
    }
}

TEST_CASE("a room leaves the direct sound alone and rings on after the end", "[room]")
{
    const auto line = line_of("tempo 120 mf 1/4 E4 G4_A4_B4");
    const auto dry = rendered(line, {});
    for (const Room room : {Room::small, Room::large}) {
        RenderSettings settings;
        settings.room = room;
        const RoomDesign& design = room_design(room);
        const auto wet = rendered(line, settings);
        const auto response = room_response(design, settings.rate);
        CHECK(wet.audio.size() == dry.audio.size() + response.size());
        // Nothing comes back before the nearest wall: the floor.
        const double floor = std::hypot(design.distance_m(), 2.0 * std::min(design.player.z_m, 1.0));
        const auto free_until = std::size_t((floor - design.distance_m()) / 344.0 * 48000.0) - 8;
        REQUIRE(free_until > 10);
        double first = 0.0;
        for (std::size_t n = 0; n < dry.audio.size(); ++n)
            if (dry.audio[n] != 0.0f) {
                first = double(n);
                break;
            }
        for (std::size_t n = 0; n < std::size_t(first) + free_until; ++n)
            CHECK(std::abs(wet.audio[n] - dry.audio[n]) < 1e-6f);
        const auto tail = [&](double from_s, double to_s) {
            return largest(wet.between(double(dry.audio.size()) / 48000.0 + from_s - 0.35,
                                       double(dry.audio.size()) / 48000.0 + to_s - 0.35));
        };
        CHECK(tail(0.05, 0.15) > 1e-3f);
        CHECK(largest(std::span(wet.audio).last(200)) < 1e-4f);
    }
}

TEST_CASE("how a line in a room is cut into blocks cannot be heard", "[room]")
{
    const auto line = line_of("tempo 140 mf 1/8 E4 G4_B4");
    RenderSettings settings;
    settings.room = Room::small;
    settings.oversampling = 2;
    const auto whole = rendered(line, settings).audio;
    for (const std::size_t block : {7, 4096}) {
        Rendering rendering(b_flat_soprano(), line, settings);
        std::vector<float> audio, piece(block);
        while (const std::size_t n = rendering.process(piece))
            audio.insert(audio.end(), piece.begin(), piece.begin() + std::ptrdiff_t(n));
        CHECK(audio == whole);
    }
}

TEST_CASE("a fortissimo run in a room does not overload", "[room]")
{
    std::string run = "tempo 120 ff 1/8";
    for (int n = 52; n <= 91; ++n)
        run += " " + pitch_name(n);
    for (const Room room : {Room::small, Room::large}) {
        RenderSettings settings;
        settings.room = room;
        const float peak = largest(rendered(run, settings).audio);
        WARN("measured, " << name_of(room) << ": peak " << 20.0 * std::log10(peak) << " dB");
        CHECK(peak < 0.97f);
    }
}
