// SPDX-License-Identifier: MIT
#include "engine/synthesis/decimator.h"

#include <cassert>
#include <cmath>
#include <numbers>

namespace canebrake
{

namespace
{

double bessel_i0(double x)
{
    double sum = 1.0, term = 1.0;
    for (int k = 1; k < 40; ++k) {
        term *= (x / (2.0 * k)) * (x / (2.0 * k));
        sum += term;
    }
    return sum;
}

} // namespace

Decimator::Decimator(int factor) : factor_(factor)
{
    assert(factor == 1 || factor == 2 || factor == 4);
    if (factor == 1)
        return;
    const int half = 32 * factor;
    const double beta = 8.0;
    const double cutoff = 0.46 / factor; // of the higher rate
    double sum = 0.0;
    for (int n = -half; n <= half; ++n) {
        const double x = 2.0 * std::numbers::pi * cutoff * n;
        const double sinc = n == 0 ? 2.0 * cutoff : std::sin(x) / (std::numbers::pi * n);
        const double at = double(n) / half;
        taps_.push_back(sinc * bessel_i0(beta * std::sqrt(1.0 - at * at)) / bessel_i0(beta));
        sum += taps_.back();
    }
    for (double& tap : taps_)
        tap /= sum;
    history_.assign(std::size_t(half), 0.0); // the filter's centre meets the first sample
}

void Decimator::process(std::span<const double> in, double gain, std::vector<float>& out)
{
    if (factor_ == 1) {
        for (const double x : in)
            out.push_back(float(gain * x));
        return;
    }
    history_.insert(history_.end(), in.begin(), in.end());
    std::size_t at = 0;
    for (; at + taps_.size() <= history_.size(); at += std::size_t(factor_)) {
        double sum = 0.0;
        for (std::size_t k = 0; k < taps_.size(); ++k)
            sum += taps_[k] * history_[at + k];
        out.push_back(float(gain * sum));
    }
    history_.erase(history_.begin(), history_.begin() + std::ptrdiff_t(at));
}

} // namespace canebrake
