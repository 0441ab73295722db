// SPDX-License-Identifier: MIT
#include "engine/spelling/harmony.h"

#include "engine/spelling/fifths.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{

namespace
{

double mean(const std::array<double, 12>& v)
{
    double sum = 0.0;
    for (const double x : v)
        sum += x;
    return sum / 12.0;
}

double spread(const std::array<double, 12>& v)
{
    const double middle = mean(v);
    double sum = 0.0;
    for (const double x : v)
        sum += (x - middle) * (x - middle);
    return sum;
}

} // namespace

Windows::Windows(double width, double end)
    : width_(width), own_(std::size_t(std::clamp(std::ceil(end / width), 0.0, 200'000.0))),
      others_(own_.size())
{
}

int Windows::both() const
{
    int count = 0;
    for (std::size_t w = 0; w < own_.size(); ++w)
        count += spread(own_[w]) * spread(others_[w]) > 1e-12;
    return count;
}

double Windows::agreement(int semitones) const
{
    double sum = 0.0, weights = 0.0;
    for (std::size_t w = 0; w < own_.size(); ++w) {
        const Twelve &own = own_[w], &others = others_[w];
        const double squares = spread(own) * spread(others);
        if (squares <= 1e-12)
            continue;
        const double own_mean = mean(own), others_mean = mean(others);
        double cross = 0.0;
        for (int pc = 0; pc < 12; ++pc)
            cross += (own[std::size_t(pc)] - own_mean) *
                     (others[std::size_t(positive_mod(pc + semitones, 12))] - others_mean);
        sum += own_mean * cross / std::sqrt(squares);
        weights += own_mean;
    }
    return weights > 0.0 ? sum / weights : 0.0;
}

void Windows::add(std::vector<Twelve>& windows, const Note& note, int number) const
{
    const double start = std::max(0.0, note.start_quarter) / width_;
    const double end = std::min((note.start_quarter + note.length_quarters) / width_, double(windows.size()));
    for (auto w = std::size_t(start); double(w) < end; ++w)
        windows[w][std::size_t(positive_mod(number, 12))] +=
            std::max(0.0, std::min(end, double(w + 1)) - std::max(start, double(w)));
}

int Harmony::heard(const Note& note)
{
    return int(std::lround(note.sounding.number));
}

} // namespace canebrake
