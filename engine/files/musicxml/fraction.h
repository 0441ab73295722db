// SPDX-License-Identifier: MIT
#pragma once

#include <algorithm>
#include <compare>
#include <cstdint>
#include <numeric>

namespace canebrake::musicxml
{

/// A length or position in quarter notes, exact, so that tuplets add up and ties and slurs meet at equality.
/// den > 0, lowest terms. Where hostile divisions would overflow, it is rounded to 1/720720 of a quarter
/// (divisible by everything up to 16) and held within a million quarters.
struct Fraction {
    std::int64_t num = 0;
    std::int64_t den = 1;

    static Fraction of(__int128 num, __int128 den)
    {
        constexpr __int128 den_limit = __int128(1) << 31;
        constexpr __int128 longest = 1'000'000, grid = 720720;
        if (den == 0)
            return {};
        if (den < 0) {
            num = -num;
            den = -den;
        }
        __int128 a = num < 0 ? -num : num, b = den;
        while (b != 0) {
            const __int128 rest = a % b;
            a = b;
            b = rest;
        }
        if (a > 1) {
            num /= a;
            den /= a;
        }
        if (num > longest * den || num < -longest * den)
            return {num < 0 ? -std::int64_t(longest) : std::int64_t(longest), 1};
        if (den > den_limit) {
            const auto rounded = std::int64_t(num / (den / grid));
            const std::int64_t common = std::gcd(rounded, std::int64_t(grid));
            return {rounded / common, std::int64_t(grid) / common};
        }
        return {std::int64_t(num), std::int64_t(den)};
    }

    double value() const { return double(num) / double(den); }

    friend Fraction operator+(Fraction a, Fraction b)
    {
        return of(__int128(a.num) * b.den + __int128(b.num) * a.den, __int128(a.den) * b.den);
    }
    friend Fraction operator-(Fraction a, Fraction b) { return a + Fraction{-b.num, b.den}; }
    friend Fraction operator*(Fraction a, Fraction b)
    {
        return of(__int128(a.num) * b.num, __int128(a.den) * b.den);
    }
    friend Fraction operator/(Fraction a, Fraction b)
    {
        return of(__int128(a.num) * b.den, __int128(a.den) * b.num);
    }
    friend bool operator==(Fraction a, Fraction b) = default;
    friend std::strong_ordering operator<=>(Fraction a, Fraction b)
    {
        return __int128(a.num) * b.den <=> __int128(b.num) * a.den;
    }
};

} // namespace canebrake::musicxml
