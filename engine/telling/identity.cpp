// SPDX-License-Identifier: MIT
#include "engine/telling/identity.h"

#include "engine/telling/names.h"
#include "models/units/pitch.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace canebrake
{
namespace
{

constexpr std::size_t around = 6;
// Some of what surrounds a place has to be as it was; with less, an equal figure elsewhere would be taken for
// it.
constexpr double alike_enough = 0.4;

std::string token(const Note& note)
{
    return fmt::format("{} {:.3g}", pitch_name(int(std::lround(note.sounding.number))), note.length_quarters);
}

/// Length of the longest common subsequence of two short lists.
std::size_t common(const std::vector<std::string>& a, const std::vector<std::string>& b)
{
    std::array<std::array<std::size_t, around + 1>, around + 1> length{};
    const std::size_t n = std::min(a.size(), around), m = std::min(b.size(), around);
    for (std::size_t i = 1; i <= n; ++i)
        for (std::size_t j = 1; j <= m; ++j)
            length[i][j] = a[i - 1] == b[j - 1] ? length[i - 1][j - 1] + 1
                                                : std::max(length[i - 1][j], length[i][j - 1]);
    return length[n][m];
}

bool same_spot(const KnownPlace& a, const KnownPlace& b)
{
    return a.bar == b.bar && std::abs(a.beat - b.beat) < 1e-3;
}

/// 0: not the same place. Else the more the better.
double worth(const KnownPlace& old, const KnownPlace& now)
{
    if (old.identity.notes != now.identity.notes)
        return 0.0;
    const double alike = likeness(old.identity, now.identity);
    if (same_spot(old, now))
        return 1.01 + alike;
    return alike >= alike_enough ? alike : 0.0;
}

} // namespace

Identity identity_of(const Line& line, std::size_t from, std::size_t to)
{
    Identity identity;
    to = std::min(to, line.notes.size() - 1);
    for (std::size_t i = from; i <= to; ++i)
        identity.notes.push_back(token(line.notes[i]));
    for (std::size_t i = from > around ? from - around : 0; i < from; ++i)
        identity.before.push_back(token(line.notes[i]));
    for (std::size_t i = to + 1; i < line.notes.size() && i <= to + around; ++i)
        identity.after.push_back(token(line.notes[i]));
    return identity;
}

double likeness(const Identity& a, const Identity& b)
{
    if (a.notes != b.notes)
        return 0.0;
    const std::size_t whole =
        std::max(a.before.size(), b.before.size()) + std::max(a.after.size(), b.after.size());
    if (whole == 0)
        return 1.0;
    return double(common(a.before, b.before) + common(a.after, b.after)) / double(whole);
}

std::vector<int> found_again(const std::vector<KnownPlace>& old, const std::vector<KnownPlace>& now)
{
    const std::size_t n = old.size(), m = now.size();
    // In order: the alignment of greatest worth (S. B. Needleman and C. D. Wunsch, Journal of Molecular
    // Biology 48, 1970, without a price for gaps).
    std::vector<std::vector<double>> best(n + 1, std::vector<double>(m + 1, 0.0));
    std::vector<std::vector<double>> pair(n, std::vector<double>(m, 0.0));
    for (std::size_t i = n; i-- > 0;)
        for (std::size_t j = m; j-- > 0;) {
            pair[i][j] = worth(old[i], now[j]);
            best[i][j] = std::max(
                {best[i + 1][j], best[i][j + 1], pair[i][j] > 0.0 ? best[i + 1][j + 1] + pair[i][j] : 0.0});
        }
    std::vector<int> found(m, -1);
    std::vector<bool> used(n, false);
    for (std::size_t i = 0, j = 0; i < n && j < m;) {
        if (pair[i][j] > 0.0 && best[i][j] == best[i + 1][j + 1] + pair[i][j]) {
            found[j] = int(i);
            used[i] = true;
            ++i;
            ++j;
        } else if (best[i][j] == best[i + 1][j]) {
            ++i;
        } else {
            ++j;
        }
    }
    // What was moved past others.
    for (std::size_t j = 0; j < m; ++j) {
        double most = 0.0;
        for (std::size_t i = 0; i < n && found[j] < 0; ++i)
            most = used[i] ? most : std::max(most, pair[i][j]);
        for (std::size_t i = 0; i < n && found[j] < 0 && most > 0.0; ++i)
            if (!used[i] && pair[i][j] == most) {
                found[j] = int(i);
                used[i] = true;
            }
    }
    return found;
}

} // namespace canebrake
