// SPDX-License-Identifier: MIT
#include "engine/room/room.h"

#include <kissfft/kissfft.hh>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <complex>
#include <cstdint>
#include <numbers>
#include <span>

namespace canebrake
{

namespace
{

constexpr double pi = std::numbers::pi;
constexpr double sound_speed_mps = 344.0; // 20 °C
// Absorption of air at 20 °C and 50 % humidity, dB/km (ISO 9613-1, from memory).
constexpr std::array<double, room_bands_hz.size()> air_db_per_km{0.45, 1.3, 2.7, 4.7, 9.9, 29.7, 105.0};

double air_loss(std::size_t band) // of power, 1/m
{
    return air_db_per_km[band] / (10.0 * std::log10(std::numbers::e) * 1000.0);
}

/// Normal-like noise of variance 1 that is the same everywhere: a sum of uniforms.
class Noise
{
public:
    double operator()()
    {
        double sum = 0.0;
        for (int i = 0; i < 4; ++i) {
            state_ ^= state_ >> 12;
            state_ ^= state_ << 25;
            state_ ^= state_ >> 27;
            sum += double((state_ * 2685821657736338717ull) >> 11) * 0x1p-53 - 0.5;
        }
        return sum * std::sqrt(3.0);
    }

private:
    std::uint64_t state_ = 0x9E3779B97F4A7C15ull;
};

struct Reflection {
    double late_s, spread; // after the direct sound; 1/r, of the direct sound's
    int walls;
    double path_m;
};

/// All images heard within `until_s` of the direct sound, which is left out.
std::vector<Reflection> reflections(const RoomDesign& room, double until_s)
{
    const double direct = room.distance_m();
    const double reach = direct + until_s * sound_speed_mps;
    struct Image {
        double away; // along one axis
        int walls;
    };
    const auto along = [&](double size, double from, double to) {
        std::vector<Image> images;
        const int most = int(reach / (2.0 * size)) + 1;
        for (int l = -most; l <= most; ++l)
            for (int u = 0; u <= 1; ++u)
                images.push_back({(1 - 2 * u) * from + 2.0 * l * size - to, std::abs(l - u) + std::abs(l)});
        return images;
    };
    const auto xs = along(room.size.x_m, room.player.x_m, room.listener.x_m),
               ys = along(room.size.y_m, room.player.y_m, room.listener.y_m),
               zs = along(room.size.z_m, room.player.z_m, room.listener.z_m);
    std::vector<Reflection> found;
    for (const Image& x : xs)
        for (const Image& y : ys)
            for (const Image& z : zs) {
                const int walls = x.walls + y.walls + z.walls;
                const double path = std::hypot(x.away, y.away, z.away);
                if (walls > 0 && path < reach)
                    found.push_back({(path - direct) / sound_speed_mps, direct / path, walls, path});
            }
    return found;
}

/// Weight of a band at a frequency: the bands' weights sum to 1 everywhere.
double band_weight(std::size_t band, double hz)
{
    const double octaves = std::log2(std::max(hz, 1.0) / room_bands_hz[band]);
    if ((band == 0 && octaves < 0.0) || (band + 1 == room_bands_hz.size() && octaves > 0.0))
        return 1.0;
    const double c = std::cos(0.5 * pi * std::clamp(octaves, -1.0, 1.0));
    return c * c;
}

/// What comes back from a room as if all of it were one band: single reflections, then noise that dies away.
/// Reflections are dense √V ms after the sound has left (J.-D. Polack 1993, from memory); from then on noise
/// takes over during as long again.
class BandTail
{
public:
    BandTail(const RoomDesign& room, double rate, std::size_t length)
        : room_(room), rate_(rate), direct_s_(room.distance_m() / sound_speed_mps),
          dense_s_(1e-3 * std::sqrt(room.volume_m3())), early_(reflections(room, 2.0 * dense_s_)),
          white_(length)
    {
        Noise noise;
        for (double& x : white_)
            x = noise();
    }

    void add_reflections(std::size_t band, std::span<std::complex<double>> time) const
    {
        for (const Reflection& r : early_)
            if (const std::size_t at = sample_of(r); at < white_.size())
                time[at] += r.spread * std::pow(1.0 - room_.absorption[band], 0.5 * r.walls) *
                            std::exp(-0.5 * air_loss(band) * r.path_m) *
                            std::sqrt((1.0 - diffuse_share(direct_s_ + r.late_s)) / room_.directivity);
    }

    void add_noise(std::size_t band, std::span<std::complex<double>> time) const
    {
        const double density = 4.0 * pi * sound_speed_mps / room_.volume_m3() * room_.distance_m() *
                               room_.distance_m() / room_.directivity; // of mean square, per second
        const double decay = 3.0 * std::numbers::ln10 / room_.reverberation_s(band); // of the pressure, 1/s
        for (std::size_t n = 0; n < white_.size(); ++n) {
            const double since_left_s = direct_s_ + double(n) / rate_;
            time[n] += white_[n] * std::sqrt(diffuse_share(since_left_s) * density / rate_) *
                       std::exp(-decay * since_left_s);
        }
    }

    /// Of the first reflection; the length if there is none.
    std::size_t first_sample() const
    {
        std::size_t first = white_.size();
        for (const Reflection& r : early_)
            first = std::min(first, sample_of(r));
        return first;
    }

private:
    std::size_t sample_of(const Reflection& r) const { return std::size_t(std::lround(r.late_s * rate_)); }
    double diffuse_share(double since_left_s) const // of the power
    {
        const double x = std::clamp((since_left_s - dense_s_) / dense_s_, 0.0, 1.0);
        return x * x * (3.0 - 2.0 * x);
    }

    const RoomDesign& room_;
    double rate_, direct_s_, dense_s_;
    std::vector<Reflection> early_;
    std::vector<double> white_;
};

} // namespace

double RoomDesign::volume_m3() const
{
    return size.x_m * size.y_m * size.z_m;
}
double RoomDesign::surface_m2() const
{
    return 2.0 * (size.x_m * size.y_m + size.y_m * size.z_m + size.z_m * size.x_m);
}
double RoomDesign::distance_m() const
{
    return std::hypot(player.x_m - listener.x_m, player.y_m - listener.y_m, player.z_m - listener.z_m);
}
double RoomDesign::reverberation_s(std::size_t band) const
{
    const double absorbing =
        -surface_m2() * std::log(1.0 - absorption[band]) + 4.0 * air_loss(band) * volume_m3();
    return 24.0 * std::numbers::ln10 / sound_speed_mps * volume_m3() / absorbing;
}

const RoomDesign& room_design(Room room)
{
    // Boxes of ours; the walls' absorption as of plaster, wood, curtains and chairs together, from memory.
    static const RoomDesign small{
        {8.0, 6.0, 3.2}, {3.1, 2.2, 1.1}, {3.8, 2.6, 1.3}, {0.22, 0.25, 0.29, 0.31, 0.32, 0.33, 0.34}, 2.0};
    static const RoomDesign large{
        {24.0, 15.0, 9.0}, {8.0, 6.3, 1.1}, {9.3, 6.9, 1.4}, {0.19, 0.20, 0.21, 0.21, 0.21, 0.22, 0.23}, 2.0};
    assert(room != Room::none);
    return room == Room::small ? small : large;
}

std::vector<double> room_response(const RoomDesign& room, SampleRate sample_rate)
{
    const double rate = sample_rate.value;
    double longest = 0.0;
    for (std::size_t band = 0; band < room_bands_hz.size(); ++band)
        longest = std::max(longest, room.reverberation_s(band));
    std::vector<double> response(std::size_t(std::ceil(longest * rate)));
    std::size_t size = 1;
    while (size < response.size() + std::size_t(0.05 * rate)) // room for the bands' filters to ring round
        size *= 2;

    const BandTail tail(room, rate, response.size());
    kissfft<double> forward(size, false), back(size, true);
    std::vector<std::complex<double>> time(size), spectrum(size), sum(size);
    for (std::size_t band = 0; band < room_bands_hz.size(); ++band) {
        std::fill(time.begin(), time.end(), 0.0);
        tail.add_reflections(band, time);
        tail.add_noise(band, time);
        forward.transform(time.data(), spectrum.data());
        for (std::size_t k = 0; k < size; ++k) {
            const double hz = double(std::min(k, size - k)) * rate / double(size);
            sum[k] += band_weight(band, hz) * spectrum[k];
        }
    }
    back.transform(sum.data(), time.data());
    for (std::size_t n = 0; n < response.size(); ++n)
        response[n] = time[n].real() / double(size);
    // The bands' filters ring before their time; nothing comes back before the nearest wall.
    std::fill_n(response.begin(), tail.first_sample(), 0.0);
    const auto fade = std::size_t(0.01 * rate);
    for (std::size_t n = 0; n < std::min(fade, response.size()); ++n)
        response[response.size() - 1 - n] *= double(n) / double(fade);
    return response;
}

} // namespace canebrake
